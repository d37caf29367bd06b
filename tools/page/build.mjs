// SPDX-License-Identifier: GPL-3.0-or-later
//
// Bundles src/report/page and the chart library into one script and one style sheet, and writes them, with their
// SHA-256 for the page's content security policy, as a C file.
//   node build.mjs SOURCE_DIR MODULES_DIR OUT_DIR      -> OUT_DIR/page_bundle.c, page.js, page.css
import { createHash } from 'node:crypto';
import { createRequire } from 'node:module';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';

const [source, modules, out] = process.argv.slice(2, 5).map((path) => resolve(path));
const esbuild = createRequire(join(modules, 'package.json'))('esbuild');

// What the chart library's licence asks of every copy of it; both it and the page's own stand in the script.
function licences() {
    const licence = readFileSync(join(modules, 'node_modules/uplot/LICENSE'), 'utf8').trim();
    return `/*! The page of barplumb, GPL-3.0-or-later. In it uPlot:\n${licence.replaceAll('*/', '* /')}\n*/`;
}

async function bundle(entry, banner) {
    const result = await esbuild.build({
        entryPoints: [join(source, entry)],
        nodePaths: [join(modules, 'node_modules')],
        bundle: true,
        minify: true,
        charset: 'utf8',
        format: 'iife',
        target: ['chrome90', 'firefox90', 'safari15'],
        legalComments: 'inline',
        banner,
        write: false,
        logLevel: 'warning',
    });
    return result.outputFiles[0].contents;
}

// The page stands inside <script> and <style>: what would end them must not be in it.
function checked(name, bytes) {
    const text = Buffer.from(bytes).toString('utf8');
    if (/<\/(script|style)|<!--/i.test(text)) {
        throw new Error(`${name} holds what would end its own element`);
    }
    return Buffer.from(bytes);
}

function array(name, bytes) {
    const lines = [];
    for (let at = 0; at < bytes.length; at += 32) {
        lines.push([...bytes.subarray(at, at + 32)].join(','));
    }
    return `const unsigned char ${name}[] = {\n${lines.join(',\n')}};\nconst size_t ${name}_count = ${bytes.length};\n`;
}

const hash = (bytes) => `sha256-${createHash('sha256').update(bytes).digest('base64')}`;

const script = checked('the script', await bundle('page.js', { js: licences() }));
const style = checked('the style sheet', await bundle('page.css', { css: licences() }));
const shape = readFileSync(join(source, 'page.html'));
mkdirSync(out, { recursive: true });
writeFileSync(join(out, 'page.js'), script);
writeFileSync(join(out, 'page.css'), style);
writeFileSync(
    join(out, 'page_bundle.c'),
    `/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Made by tools/page/build.mjs; not to be edited. */
#include "report/page_bundle.h"

${array('bp_page_shape', shape)}${array('bp_page_script', script)}${array('bp_page_style', style)}` +
        `const char bp_page_script_hash[] = "${hash(script)}";\nconst char bp_page_style_hash[] = "${hash(style)}";\n`,
);
