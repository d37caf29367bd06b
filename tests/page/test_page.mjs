// SPDX-License-Identifier: GPL-3.0-or-later
//
// The page of simulated sets in a browser: what a reader sees and can do, and what a hostile name cannot.
//   node test_page.mjs BARPLUMB SIMULATE PAGE_SAMPLES MODULES_DIR RIG OUT_DIR
// Screenshots and the print are left in OUT_DIR, to be looked at. Exits with 77 where there is no chromium.
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { copyFileSync, mkdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { contrast, findChromium, hover, launch, luminance, number, open, requireFrom, SKIPPED, timeIn, unfold } from './browser.mjs';

const [barplumb, simulate, samples, modules, rig, out] = process.argv.slice(2);
const require = requireFrom(modules);
const playwright = require('playwright-core');
const chromium = findChromium();
if (playwright === null || require('axe-core') === null || chromium === null) {
    console.log('skipped: no chromium, or playwright-core and axe-core are not installed');
    process.exit(SKIPPED);
}
rmSync(out, { recursive: true, force: true });
mkdirSync(join(out, 'assets'), { recursive: true });
const file = (name) => join(out, name);

// ---- the sets ----

const LONG = file('long.csv');
const HOSTILE_LOG = `<img src=x onerror=alert(1)>"'&<!--<script>\u2028.csv`;
const HOSTILE_SETUP = '</script><script>alert(2)</script>';
const measure = (log, page, ...options) =>
    execFileSync(barplumb, ['set', '--format', 'html', '--out', file(page), ...options, log]);

execFileSync(simulate, ['--lift', 'bench', '--setup', 'chains', '--rate', '200', '--reps', '8', '--hold', '3.2', '--descent', '2',
    '--still-start', '6', '--still-end', '6', '--seed', '41', '--sway', '0.004', '--sticking-from', '5', '--out', LONG]);
measure(LONG, 'long.html', '--lift', 'bench', '--setup', 'chains, 2 x 8 kg', '--rig', rig);
const set = JSON.parse(execFileSync(barplumb, ['set', '--format', 'json', '--lift', 'bench', '--rig', rig, LONG], { encoding: 'utf8' }));
execFileSync(simulate, ['--lift', 'deadlift', '--rate', '100', '--gyroscope', 'no', '--ending', 'missed', '--reps', '3',
    '--seed', '42', '--out', file('missed.csv')]);
measure(file('missed.csv'), 'missed.html', '--lift', 'deadlift');
copyFileSync(file('missed.csv'), file(HOSTILE_LOG));
measure(file(HOSTILE_LOG), 'hostile.html', '--lift', 'deadlift', '--setup', HOSTILE_SETUP);
execFileSync(samples, [out]);

// The page of the long set with its data changed: `change` gets the set.
function changed(name, change) {
    const page = readFileSync(file('long.html'), 'utf8');
    const block = /(<script type="application\/json" id="barplumb-set">)(.*?)(\n?<\/script>)/s;
    const data = JSON.parse(block.exec(page)[2]);
    change(data);
    writeFileSync(file(name), page.replace(block, (_, before, __, after) => before + JSON.stringify(data) + after));
}

changed('twelve.html', (data) => {
    data.reps.push(...data.reps.slice(0, 4).map((rep) => ({ ...rep, index: rep.index + 8 })));
});

// ---- the tests ----

const tests = {
    async a_minute_of_log_is_a_page_under_a_megabyte() {
        assert.ok(set.log.duration_s >= 60 && set.log.rate_hz > 199, `${set.log.duration_s} s`);
        const bytes = statSync(file('long.html')).size;
        console.log(`   ${bytes} bytes for ${set.log.duration_s.toFixed(0)} s at ${set.log.rate_hz.toFixed(0)} Hz`);
        assert.ok(bytes < 1e6);
    },

    async a_page_loads_quietly_and_fetches_nothing(browser) {
        for (const [name, charts] of [['long.html', 9], ['missed.html', 6]]) {
            const { page, troubles, close } = await open(browser, file(name));
            assert.equal(await page.locator('canvas').count(), charts);
            assert.deepEqual(troubles, []);
            await close();
        }
    },

    async the_first_chart_stands_soon(browser) {
        const times = [], limit = 600;
        while (times.length < 5 || (Math.min(...times) >= limit && times.length < 15)) {
            const { page, close } = await open(browser, file('long.html'));
            times.push(await page.evaluate(() => performance.getEntriesByName('barplumb-first-chart')[0].startTime));
            await close();
        }
        times.sort((a, b) => a - b);
        console.log(`   from navigation to the first chart: ${times.map((t) => t.toFixed(0)).join(', ')} ms`);
        // The quickest of five, or of more on a machine that is busy: what the page takes, not what else the machine does. 300 ms
        // are wanted; a quick machine takes 144 to 196, a slow one 320 to 380.
        assert.ok(times[0] < limit);
    },

    async every_figure_on_the_page_is_the_one_in_json(browser) {
        const { page, close } = await open(browser, file('long.html'));
        await unfold(page);
        const cells = await page.evaluate(() => [...document.querySelectorAll('[data-figure]')].map((cell) => ({
            name: cell.dataset.figure, rep: cell.closest('tr')?.dataset.rep ?? null,
            value: cell.querySelector('.value')?.textContent ?? null, interval: cell.querySelector('.interval')?.textContent ?? null,
        })));
        let compared = 0;
        for (const { name, rep, value, interval } of cells) {
            const of = rep === null ? set : set.reps[rep - 1];
            const q = name.split('.').reduce((part, key) => part?.[key] ?? null, of);
            const scale = name === 'range_m' ? 100 : 1;
            const where = `rep ${rep} ${name}: ${value} ${interval}, ${JSON.stringify(q)}`;
            if (q === null) {
                assert.equal(value, null, where);
                continue;
            }
            const digit = 10 ** -(value.split('.')[1]?.length ?? 0);
            const near = (text, wanted) => assert.ok(Math.abs(number(text) - wanted * scale) <= 0.5001 * digit, where);
            near(value, q.value);
            if (interval.startsWith('±')) {
                const half = Math.max(q.value - q.low, q.high - q.value);
                assert.ok(number(interval.slice(1)) === digit || Math.abs(number(interval.slice(1)) - half * scale) <= 0.51 * digit + 1e-4 * scale, where);
            } else {
                near(interval.split(' to ')[0], q.low);
                near(interval.split(' to ')[1], q.high);
            }
            compared++;
        }
        console.log(`   ${compared} figures compared`);
        assert.ok(compared > 8 * 40);
        await close();
    },

    async hovering_reads_all_three_records_at_one_time(browser) {
        const { page, close } = await open(browser, file('long.html'));
        const traces = await page.evaluate(() => JSON.parse(document.getElementById('barplumb-traces').textContent));
        for (const [chart, share] of [['height', 0.3], ['speed', 0.5], ['shake', 0.7]]) {
            const text = await hover(page, chart, share);
            const [, time, speed, shake] = /^([\d.]+) s · height .* · speed ([−\d.]+).* · shake ([−\d.]+)/.exec(text);
            const i = traces.time_s.findIndex((t) => Math.abs(t - number(time)) <= 0.0051);
            const near = (shown, list, slack) => assert.ok([i, i + 1].some((k) => Math.abs(number(shown) - list[k]) <= slack), text);
            near(speed, traces.speed_m_s.value, 0.006);
            near(shake, traces.shake_mm.value, 0.06);
            assert.match(text, /±/);
        }
        await close();
    },

    async dragging_zooms_all_three_charts_and_a_double_click_ends_it(browser) {
        const { page, close } = await open(browser, file('long.html'));
        const ends = async (chart) => [timeIn(await hover(page, chart, 0.002)), timeIn(await hover(page, chart, 0.998))];
        const [from, to] = await ends('speed');
        assert.ok(to - from > 40);
        await hover(page, 'height', 0.3);
        await page.mouse.down();
        await hover(page, 'height', 0.5);
        await page.mouse.up();
        for (const chart of ['height', 'speed', 'shake']) {
            const [left, right] = await ends(chart);
            assert.ok(Math.abs(left - (from + 0.3 * (to - from))) < 0.3, `${chart} from ${left}`);
            assert.ok(Math.abs(right - (from + 0.5 * (to - from))) < 0.3, `${chart} to ${right}`);
        }
        await hover(page, 'shake', 0.5);
        await page.mouse.dblclick(...await page.locator('[data-chart="shake"] .u-over').boundingBox().then((b) => [b.x + b.width / 2, b.y + b.height / 2]));
        const [left, right] = await ends('height');
        assert.ok(Math.abs(left - from) < 0.1 && Math.abs(right - to) < 0.1);
        await close();
    },

    async choosing_a_rep_shows_it_in_every_chart_and_its_row(browser) {
        const { page, troubles, close } = await open(browser, file('long.html'));
        await page.locator('.chooser input[value="2"]').focus();
        await page.keyboard.press('Space');
        const rep = set.reps[1];
        const [left, right] = [timeIn(await hover(page, 'speed', 0.002)), timeIn(await hover(page, 'speed', 0.998))];
        assert.ok(Math.abs(left - rep.descent_start_s + 0.4) < 0.1 && Math.abs(right - rep.drive_end_s - 0.4) < 0.1);
        assert.match(await hover(page, 'climb', 0.5, 'speed'), /^50 % up: rep 2 [\d.]+ ±[\d.]+ m\/s$/);
        assert.equal(await page.locator('#reps > .scroll tr.chosen').getAttribute('data-rep'), '2');
        await page.locator('.chooser input[value="2"]').press('ArrowLeft');
        await page.locator('.chooser input[value="1"]').press('ArrowLeft');
        assert.equal(await page.locator('tr.chosen').count(), 0);
        assert.match(await hover(page, 'climb', 0.5, 'speed'), /^50 % up: rep 1 .* rep 8 /);
        assert.deepEqual(troubles, []);
        await close();
    },

    async the_keyboard_alone_reads_and_zooms_a_chart(browser) {
        const { page, close } = await open(browser, file('long.html'));
        await page.locator('[data-chart="speed"]').focus();
        await page.keyboard.press('ArrowRight');
        const spoken = page.locator('#time [aria-live]');
        const first = timeIn(await spoken.innerText());
        await page.keyboard.press('Shift+ArrowRight');
        const later = timeIn(await spoken.innerText());
        assert.ok(later - first > 0.15 && later - first < 0.25, `${first} to ${later}: ten points of 20 ms`);
        for (let i = 0; i < 3; i++) {
            await page.keyboard.press('+');
        }
        const [left, right] = [timeIn(await hover(page, 'height', 0.002)), timeIn(await hover(page, 'height', 0.998))];
        assert.ok(left <= later && later < right && right - left < 10, `${later} in ${left} to ${right}`);
        await page.keyboard.press('0');
        assert.ok(timeIn(await hover(page, 'height', 0.998)) > 40);
        await page.locator('[data-chart="climb"]').focus();
        await page.keyboard.press('ArrowRight');
        assert.match(await page.locator('.panel.across [aria-live]').innerText(), /% up: rep 1 /);
        await page.locator('[data-chart="front"]').focus();
        await page.keyboard.press('ArrowUp');
        await page.keyboard.press('ArrowUp');
        assert.match(await page.locator('.panel:has([data-chart="front"]) [aria-live]').innerText(), /^1 % up: rep 1 /);
        await close();
    },

    async a_tap_on_a_phone_reads_a_chart(browser) {
        const { page, troubles, close } = await open(browser, file('long.html'),
            { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true, deviceScaleFactor: 2 });
        const place = page.locator('[data-chart="speed"] .u-over');
        await place.scrollIntoViewIfNeeded();
        await place.tap();
        const tapped = timeIn(await page.locator('[data-readout="time"]').innerText());
        const box = await place.boundingBox();
        await place.dispatchEvent('pointermove', { pointerType: 'touch', clientX: box.x + 0.9 * box.width, clientY: box.y + 20 });
        assert.ok(timeIn(await page.locator('[data-readout="time"]').innerText()) > tapped + 10);
        assert.deepEqual(troubles, []);
        await close();
    },

    async hostile_names_are_text_and_nothing_else(browser) {
        const { page, troubles, close } = await open(browser, file('hostile.html'));
        assert.deepEqual(troubles, []);
        assert.equal(await page.locator('img, main script').count(), 0);
        assert.equal(await page.locator('h1').innerText(), `Deadlift, ${HOSTILE_SETUP}`);
        assert.ok((await page.locator('.facts').textContent()).includes(HOSTILE_LOG));
        assert.equal(await page.title(), `deadlift, ${HOSTILE_SETUP}: ${HOSTILE_LOG}`);
        await close();
    },

    async the_policy_stops_any_other_script(browser) {
        const page = readFileSync(file('long.html'), 'utf8')
            .replace('<main id="page">', '<script>window.ran = true</script><img src="x.png" onerror="window.ran = true"><main id="page">');
        writeFileSync(file('injected.html'), page);
        const opened = await open(browser, file('injected.html'));
        assert.equal(await opened.page.evaluate(() => window.ran), undefined);
        assert.ok(opened.troubles.some((trouble) => trouble.includes('Content Security Policy')));
        await opened.close();
    },

    async axe_finds_nothing_in_light_and_dark(browser) {
        const source = readFileSync(join(modules, 'node_modules/axe-core/axe.min.js'), 'utf8');
        for (const [name, colorScheme] of [['long.html', 'light'], ['missed.html', 'dark']]) {
            const { page, close } = await open(browser, file(name), { colorScheme });
            await unfold(page);
            await page.evaluate(source);
            const { violations, passes } = await page.evaluate(() => globalThis.axe.run(document));
            assert.deepEqual(violations.map(({ id, nodes }) => `${id}: ${nodes.map((node) => node.html.slice(0, 120)).join(' ')}`), []);
            assert.ok(passes.length > 20);
            await close();
        }
    },

    async reps_are_told_apart_by_lightness_and_stand_off_the_ground(browser) {
        for (const colorScheme of ['light', 'dark']) {
            const { page, close } = await open(browser, file('long.html'), { colorScheme });
            const { ground, reps } = await page.evaluate(() => ({ ground: getComputedStyle(document.body).backgroundColor,
                reps: [...document.querySelectorAll('.swatch')].map((swatch) => getComputedStyle(swatch).backgroundColor) }));
            assert.equal(reps.length, 8);
            const light = reps.map(luminance);
            assert.ok(light.every((one, i) => i === 0 || (colorScheme === 'light' ? one < light[i - 1] : one > light[i - 1])), `${light}`);
            assert.ok(reps.every((one) => contrast(one, ground) >= 3), `${reps.map((one) => contrast(one, ground))}`); // WCAG 2.1, 1.4.11
            await close();
        }
    },

    async nothing_is_wider_than_a_phone(browser) {
        for (const [name, width] of [['missed.html', 320], ['hostile.html', 320], ['long.html', 320], ['long.html', 390]]) {
            const { page, close } = await open(browser, file(name), { viewport: { width, height: 844 } });
            await unfold(page);
            const wide = await page.evaluate(() => document.documentElement.scrollWidth);
            assert.ok(wide <= width, `${name} is ${wide} wide at ${width}`);
            await close();
        }
    },

    async loads_are_shown_where_they_are_known(browser) {
        const without = await open(browser, file('missed.html'));
        assert.equal(await without.page.locator('[data-chart="load_kg"], [data-chart="power_w"]').count(), 0);
        await without.close();
        const { page, troubles, close } = await open(browser, file('long.html'));
        assert.match(await page.locator('.facts').innerText(), / rig: bench, chains /);
        for (const field of ['load_kg', 'force_n', 'power_w']) {
            assert.equal(await page.locator(`[data-chart="${field}"] canvas`).count(), 1);
        }
        await unfold(page);
        const cell = page.locator('.panel:has([data-chart="load_kg"]) tr[data-rep="3"] td[data-figure="ranges.1.load_kg"]');
        const [value, half] = (await cell.textContent()).split(' ±').map(number);
        const q = set.reps[2].ranges[1].load_kg;
        assert.ok(Math.abs(value - q.value) <= 0.0501 && Math.abs(half - (q.high - q.low) / 2) <= 0.11, `${value} ±${half}`);
        assert.deepEqual(troubles, []);
        await close();
    },

    async a_missed_rep_and_a_log_without_gyroscope_are_said(browser) {
        const { page, close } = await open(browser, file('missed.html'));
        const text = await page.locator('main').innerText();
        assert.match(text, /4 missed/);
        assert.match(text, /Rep 4 was missed after/);
        assert.match(text, /apparent shake/i);
        assert.match(text, /tilt is in it too/);
        await page.check('.chooser input[value="4"]', { force: true });
        assert.match(await hover(page, 'climb', 0.5, 'speed'), /^50 % up: rep 1 .* rep 3 /); // it has no way up of its own
        await close();
    },

    async the_print_has_two_pages_in_either_scheme(browser) {
        for (const [name, colorScheme] of [['long.html', 'dark'], ['missed.html', 'light'], ['twelve.html', 'light']]) {
            const { page, close } = await open(browser, file(name), { colorScheme });
            const pdf = await page.pdf({ path: file(name.replace('html', 'pdf')), preferCSSPageSize: true });
            assert.equal((pdf.toString('latin1').match(/\/Type \/Page\b/g) ?? []).length, 2, name);
            await page.waitForFunction(() => !document.documentElement.classList.contains('printing'));
            await close();
        }
    },

    async pages_share_a_script_under_their_own_policy(browser) {
        for (const name of ['full.html', 'bare.html']) {
            const { page, troubles, close } = await open(browser, file(name), { mayLoad: ['/assets/barplumb.js', '/assets/barplumb.css'] });
            assert.deepEqual(troubles, []);
            assert.match(await page.locator('.facts').innerText(), /^L1 · /);
            assert.equal(await page.locator('canvas').count(), 0); // these samples have no traces
            assert.notEqual(await page.evaluate(() => getComputedStyle(document.body).backgroundColor), 'rgba(0, 0, 0, 0)');
            await close();
        }
    },

    async screenshots_for_whoever_looks(browser) {
        for (const [name, width, colorScheme] of [['long', 1280, 'light'], ['long', 1280, 'dark'], ['long', 390, 'light'], ['missed', 390, 'dark']]) {
            const { page, close } = await open(browser, file(`${name}.html`), { viewport: { width, height: 900 }, colorScheme });
            await page.screenshot({ path: file(`${name}-${width}-${colorScheme}.png`), fullPage: true });
            assert.ok(statSync(file(`${name}-${width}-${colorScheme}.png`)).size > 10000);
            await close();
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
