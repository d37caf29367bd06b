// SPDX-License-Identifier: GPL-3.0-or-later
//
// The pages of an invented block in a browser: the index, the lifters', the comparison.
//   node test_block_page.mjs BLOCK_SAMPLES MODULES_DIR OUT_DIR
// Screenshots are left in OUT_DIR, to be looked at. Exits with 77 where there is no chromium.
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { findChromium, launch, number, open, requireFrom, SKIPPED, unfold } from './browser.mjs';

const [samples, modules, out] = process.argv.slice(2);
const require = requireFrom(modules);
const playwright = require('playwright-core');
const chromium = findChromium();
if (playwright === null || require('axe-core') === null || chromium === null) {
    console.log('skipped: no chromium, or playwright-core and axe-core are not installed');
    process.exit(SKIPPED);
}
rmSync(out, { recursive: true, force: true });
['assets', 'sets', 'lifters'].forEach((folder) => mkdirSync(join(out, folder), { recursive: true }));
execFileSync(samples, [out]);
const file = (name) => join(out, name);
const block = JSON.parse(readFileSync(file('block.json'), 'utf8'));
const compare = JSON.parse(readFileSync(file('compare.json'), 'utf8'));
const lifters = readdirSync(file('lifters')).map((name) => `lifters/${name}`);
const L2 = lifters.find((name) => name.includes('-L2'));
const ALL = ['index.html', 'compare.html', ...lifters];
const HOSTILE = block.lifters.find((name) => name.includes('script'));
const mayLoad = ['/assets/barplumb.js', '/assets/barplumb.css'];
const openAt = (browser, name, options = {}) => open(browser, file(name), { mayLoad, ...options });

// What a figure on the page says is what JSON says, to the digits shown.
function assertShown(text, q, where) {
    const [value, interval] = [/^[−\d.]+/.exec(text)[0], /±([\d.]+)/.exec(text)?.[1]];
    const digit = 10 ** -(value.split('.')[1]?.length ?? 0);
    assert.ok(Math.abs(number(value) - q.value) <= 0.5001 * digit, where);
    if (interval !== undefined) {
        const half = Math.max(q.value - q.low, q.high - q.value);
        assert.ok(number(interval) === digit || Math.abs(number(interval) - half) <= 0.51 * digit, where);
    }
}

const tests = {
    async every_page_loads_quietly_and_fits_a_phone_and_a_laptop(browser) {
        for (const name of [...ALL, 'alone.html']) {
            for (const width of [390, 1280]) {
                const { page, troubles, close } = await openAt(browser, name, { viewport: { width, height: 844 } });
                await unfold(page);
                assert.deepEqual(troubles, [], name);
                const wide = await page.evaluate(() => document.documentElement.scrollWidth);
                assert.ok(wide <= width, `${name} is ${wide} wide at ${width}`);
                await close();
            }
        }
    },

    async axe_finds_nothing_in_light_and_dark(browser) {
        const source = readFileSync(join(modules, 'node_modules/axe-core/axe.min.js'), 'utf8');
        for (const name of ['index.html', 'compare.html', L2]) {
            for (const colorScheme of ['light', 'dark']) {
                const { page, close } = await openAt(browser, name, { colorScheme });
                await unfold(page);
                await page.evaluate(source);
                const { violations, passes } = await page.evaluate(() => globalThis.axe.run(document));
                assert.deepEqual(violations.map(({ id, nodes }) => `${name} ${id}: ${nodes.map((node) => node.html.slice(0, 120)).join(' ')}`), []);
                assert.ok(passes.length > 15, `${passes.length}`);
                await close();
            }
        }
    },

    async every_figure_of_every_set_is_the_one_in_json(browser) {
        const { page, close } = await openAt(browser, 'index.html');
        const rows = await page.evaluate(() => [...document.querySelectorAll('#sets tbody tr')].map((row) => ({
            id: row.querySelector('[data-set]').dataset.set,
            figures: [...row.querySelectorAll('[data-figure]')].map((cell) => [cell.dataset.figure, cell.innerText]),
        })));
        let compared = 0;
        assert.deepEqual(rows.map(({ id }) => id), block.sets.map(({ id }) => id));
        for (const [i, { id, figures }] of rows.entries()) {
            for (const [name, text] of figures) {
                const q = block.sets[i][name];
                if (q === null) {
                    assert.match(text, /^–/, `${id} ${name}`);
                } else {
                    assertShown(text, q, `${id} ${name}: ${text}, ${JSON.stringify(q)}`);
                    compared++;
                }
            }
        }
        console.log(`   ${compared} figures compared`);
        assert.ok(compared > 200);
        await close();
    },

    async every_contrast_is_the_one_in_json(browser) {
        const { page, close } = await openAt(browser, 'compare.html');
        const lists = await page.evaluate(() => [...document.querySelectorAll('.contrasts')].map((list) => [...list.querySelectorAll('li')].map((row) => ({
            name: row.dataset.figure, text: row.querySelector('.much').textContent, told: row.classList.contains('told') }))));
        const pairs = compare.comparisons.flatMap((one) => one.pairs.map((_, p) => [one, p]));
        let compared = 0;
        assert.equal(lists.length, pairs.length);
        for (const [i, rows] of lists.entries()) {
            const [one, p] = pairs[i];
            assert.equal(rows.length, one.figures.length);
            for (const [k, { name, text, told }] of rows.entries()) {
                const of = one.figures[k].pairs[p];
                const q = one.figures[k].scale === 'ratio' ? of.ratio_all : of.difference_all;
                assert.equal(name, one.figures[k].name);
                assert.equal(told, of.verdict !== 'cannot_tell');
                if (q === null) {
                    assert.equal(text, 'not known');
                } else {
                    assertShown(text, q, `${name}: ${text}, ${JSON.stringify(q)}`);
                    compared++;
                }
            }
        }
        console.log(`   ${compared} contrasts compared`);
        assert.ok(compared > 40);
        await close();
    },

    async the_loads_stand_before_what_differs(browser) {
        const { page, close } = await openAt(browser, 'compare.html');
        const text = await page.locator('#comparison-1').innerText();
        const loads = text.indexOf('Whether loads match cannot be told');
        assert.ok(loads > 0 && loads < text.indexOf('Mean velocity'));
        assert.ok(text.includes('by chance alone'));
        await close();
    },

    async a_bar_lies_where_its_interval_does(browser) {
        const { page, close } = await openAt(browser, 'compare.html');
        const speed = compare.comparisons[0].figures.find(({ name }) => name === 'mean_velocity_m_s');
        const q = speed.pairs[0].difference_all;
        const drawn = await page.locator('.contrasts').first().locator('[data-figure="mean_velocity_m_s"]').evaluate((row) => {
            const [box, line] = ['.little', '.whisker'].map((part) => row.querySelector(part).getBoundingClientRect());
            return { middle: box.left + box.width / 2, worth: box.width / 2, left: line.left, right: line.right };
        });
        const at = (x) => ((x - drawn.middle) / drawn.worth) * speed.worth;
        assert.ok(Math.abs(at(drawn.left) - q.low) < 0.004 && Math.abs(at(drawn.right) - q.high) < 0.004, `${JSON.stringify(drawn)} ${JSON.stringify(q)}`);
        await close();
    },

    async a_lifters_trends_say_what_json_says(browser) {
        const { page, close } = await openAt(browser, L2);
        const said = await page.evaluate(() => [...document.querySelectorAll('.trend')].map((panel) =>
            [panel.dataset.trend, panel.querySelectorAll('circle').length, panel.querySelector('.readout').textContent]));
        const wanted = block.series.filter(({ lifter }) => lifter === 'L2').flatMap(({ trends }) => trends).filter(({ points }) => points.length > 1);
        assert.deepEqual(said.map(([subject]) => subject), wanted.map(({ subject }) => subject));
        wanted.forEach(({ points, sentence }, i) => {
            assert.equal(said[i][1], points.length);
            assert.equal(said[i][2].toLowerCase().replaceAll('−', '-'), `${sentence.toLowerCase()}.`);
        });
        assert.ok(said.some(([, , text]) => text.includes('m/s a week slower')));
        assert.equal(await page.locator('h1').textContent(), 'L2, the block');
        await close();
    },

    async sets_under_the_speed_wanted_and_recordings_not_measured_are_listed(browser) {
        const { page, close } = await openAt(browser, 'index.html');
        const under = block.sets.filter(({ target }) => target === 'under').map(({ id }) => id);
        const listed = await page.evaluate(() => [...document.querySelectorAll('#targets [data-set]')].map((cell) => cell.dataset.set));
        assert.ok(under.length > 0);
        assert.deepEqual(listed, under);
        const troubles = await page.locator('#troubles').innerText();
        assert.match(troubles, /not measured .*L3.*no rep in the log/);
        assert.match(troubles, /reservation .*a gap of 0\.40 s/);
        await close();
    },

    async every_link_leads_to_a_file_of_the_block(browser) {
        let links = 0;
        for (const name of ALL) {
            const { page, close } = await openAt(browser, name);
            for (const href of await page.evaluate(() => [...document.querySelectorAll('a')].map((a) => a.href))) {
                const path = fileURLToPath(href);
                assert.ok(path.startsWith(out) && existsSync(path), `${name}: ${href}`);
                links++;
            }
            await close();
        }
        console.log(`   ${links} links`);
        assert.ok(links > 2 * block.sets.length);
    },

    async a_sets_page_leads_back_to_the_block(browser) {
        const { page, troubles, close } = await openAt(browser, `sets/${block.sets[0].id}.html`);
        assert.deepEqual(troubles, []);
        assert.equal(fileURLToPath(await page.locator('nav a').evaluate((a) => a.href)), file('index.html'));
        await close();
    },

    async hostile_names_are_text_and_nothing_else(browser) {
        const theirs = lifters.find((name) => name.includes('script'));
        for (const name of ['index.html', 'compare.html', theirs]) {
            const { page, troubles, close } = await openAt(browser, name);
            assert.deepEqual(troubles, []);
            assert.equal(await page.locator('img, main script').count(), 0, name);
            assert.ok((await page.locator('main').textContent()).includes(HOSTILE), name);
            await close();
        }
        const { page, close } = await openAt(browser, theirs);
        assert.equal(await page.locator('h1').textContent(), `${HOSTILE}, the block`);
        await close();
    },

    async a_reader_without_scripts_sees_tables(browser) {
        for (const name of ['index.html', 'compare.html', L2]) {
            const context = await browser.newContext({ javaScriptEnabled: false });
            const page = await context.newPage();
            await page.goto(`file://${file(name)}`);
            assert.ok(await page.locator('table tr').count() > 10, name);
            assert.match(await page.locator('main').innerText(), /m\/s/);
            await context.close();
        }
    },

    async the_print_shows_what_the_trends_say_and_whole_tables(browser) {
        const { page, close } = await openAt(browser, L2, { viewport: { width: 688, height: 1000 } }); // A4 less its margins, at 96 to the inch
        await page.emulateMedia({ media: 'print' });
        assert.ok(await page.locator('.trend .readout').first().isVisible());
        const cut = await page.evaluate(() => [...document.querySelectorAll('.scroll')].filter((place) => place.offsetParent !== null && place.scrollWidth > place.clientWidth + 1)
            .map((place) => place.getAttribute('aria-label')));
        assert.deepEqual(cut, []);
        await close();
    },

    async screenshots_for_whoever_looks(browser) {
        for (const [name, path] of [['index', 'index.html'], ['lifter', L2], ['compare', 'compare.html']]) {
            for (const [width, colorScheme] of [[390, 'light'], [1280, 'dark']]) {
                const { page, close } = await openAt(browser, path, { viewport: { width, height: 900 }, colorScheme });
                const picture = file(`${name}-${width}-${colorScheme}.png`);
                await page.screenshot({ path: picture, fullPage: true });
                assert.ok(statSync(picture).size > 10000);
                await close();
            }
        }
    },
};

const browser = await launch(playwright.chromium, chromium);
let failures = 0;
for (const [name, test] of Object.entries(tests)) {
    const from = performance.now();
    try {
        await test(browser);
        console.log(`ok ${name} (${(performance.now() - from).toFixed(0)} ms)`);
    } catch (error) {
        failures++;
        console.log(`FAILED ${name}: ${error.stack}`);
    }
}
await browser.close();
process.exit(failures > 0 ? 1 : 0);
