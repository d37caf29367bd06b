// SPDX-License-Identifier: GPL-3.0-or-later
//
// A browser for the tests of the page, and what they read from it.
import { createRequire } from 'node:module';
import { accessSync, constants } from 'node:fs';
import { delimiter, join } from 'node:path';
import { pathToFileURL } from 'node:url';

export const SKIPPED = 77;

export function findChromium() {
    for (const folder of (process.env.PATH ?? '').split(delimiter)) {
        try {
            accessSync(join(folder, 'chromium'), constants.X_OK);
            return join(folder, 'chromium');
        } catch {
            // not in this one
        }
    }
    return null;
}

export function requireFrom(modules) {
    const require = createRequire(join(modules, 'package.json'));
    return (name) => {
        try {
            return require(name);
        } catch (error) {
            if (error.code === 'MODULE_NOT_FOUND') {
                return null;
            }
            throw error;
        }
    };
}

export async function launch(chromium, executablePath) {
    const sandbox = process.getuid?.() === 0 ? ['--no-sandbox'] : [];
    return chromium.launch({ executablePath, args: sandbox });
}

// Opens a file and keeps whatever went wrong, or out, in page.troubles.
export async function open(browser, file, options = {}) {
    const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, ...options });
    const page = await context.newPage();
    const troubles = [];
    const url = pathToFileURL(file).href;
    page.on('console', (message) => troubles.push(`console ${message.type()}: ${message.text()}`));
    page.on('pageerror', (error) => troubles.push(`error: ${error.stack}`));
    page.on('dialog', (dialog) => {
        troubles.push(`dialog: ${dialog.message()}`);
        void dialog.dismiss();
    });
    page.on('request', (request) => {
        if (request.url() !== url && !(options.mayLoad ?? []).some((part) => request.url().endsWith(part))) {
            troubles.push(`fetched ${request.url()}`);
        }
    });
    await page.goto(url);
    await page.waitForSelector('html[data-ready="yes"]', { timeout: 10000 });
    return { page, troubles, close: () => context.close() };
}

// Moves the mouse over a chart, to a share of its width, and returns what the readout then says.
export async function hover(page, chart, share, readout = 'time') {
    const place = page.locator(`[data-chart="${chart}"] .u-over`);
    await place.scrollIntoViewIfNeeded();
    const box = await place.boundingBox();
    await page.mouse.move(box.x + share * box.width, box.y + box.height / 2);
    return page.locator(`[data-readout="${readout}"]`).innerText();
}

// Opens whatever is folded, and waits until it is filled.
export async function unfold(page) {
    await page.evaluate(() => document.querySelectorAll('details').forEach((details) => { details.open = true; }));
    await page.waitForFunction(() => [...document.querySelectorAll('details')].every((details) => details.querySelector('table')));
}

export const number = (text) => Number(text.replace('−', '-'));
export const timeIn = (readout) => number(/^([−\d.]+) s ·/.exec(readout)[1]);

// Of colours as the browser gives them; WCAG 2.1's relative luminance and contrast.
export function luminance(colour) {
    const [r, g, b] = colour.match(/[\d.]+/g).slice(0, 3).map((c) => Number(c) / 255)
        .map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}
export const contrast = (a, b) => {
    const [dark, light] = [luminance(a), luminance(b)].sort((x, y) => x - y);
    return (light + 0.05) / (dark + 0.05);
};
