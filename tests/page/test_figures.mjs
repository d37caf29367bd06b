// SPDX-License-Identifier: GPL-3.0-or-later
//
// How figures are rounded and what the sentences say, without a browser.
//   node test_figures.mjs PAGE_SOURCE_DIR
import assert from 'node:assert/strict';
import { copyFileSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

// The sources are modules of a bundle and have no package.json beside them to say so.
const folder = mkdtempSync(join(tmpdir(), 'page-'));
for (const name of readdirSync(process.argv[2]).filter((file) => file.endsWith('.js'))) {
    copyFileSync(join(process.argv[2], name), join(folder, name));
}
writeFileSync(join(folder, 'package.json'), '{"type":"module"}');
const { fixed, inWords, shown } = await import(join(folder, 'figure.js'));
const { listed, sentences } = await import(join(folder, 'words.js'));
const { at, waysUp } = await import(join(folder, 'paths.js'));
rmSync(folder, { recursive: true });

const q = (value, below, above = below) => ({ value, low: value - below, high: value + above });

// JCGM 100:2008, 7.2.6: the uncertainty with at most two digits that count, the value to the same place.
assert.equal(inWords(q(0.41234, 0.0042), 4, 'm/s'), '0.4123 ±0.0042 m/s');
assert.equal(inWords(q(0.41234, 0.0042), 3, 'm/s'), '0.412 ±0.004 m/s');
assert.equal(inWords(q(12.345, 0.0996), 3, 'mm'), '12.35 ±0.10 mm'); // 0.0996 is 0.10, not 0.100
assert.equal(inWords(q(12.344, 0.234), 3, 'mm'), '12.34 ±0.23 mm');
assert.equal(inWords(q(623.4, 123.4), 0, 'W'), '620 ±120 W');
assert.equal(inWords(q(0.5, 0), 3, ''), '0.500 ±0.001'); // never ±0
assert.equal(inWords({ value: 1.9, low: 0.4, high: 2.1 }, 2, 'mm'), '1.9 (0.4 to 2.1) mm');
assert.equal(inWords({ value: 1.9, low: null, high: null }, 2, 'mm'), '1.90 mm');
assert.equal(inWords(null, 2, 'mm'), 'not known');
assert.equal(inWords(q(17.8, 1.3), 1, '%'), '17.8 ±1.3 %');
assert.equal(shown(q(1234, 260), 0).value, 1230);
assert.equal(fixed(-0.0001, 2), '0.00');
assert.equal(fixed(-1.5, 1), '−1.5');

assert.equal(listed([1, 2, 3]), '1 to 3');
assert.equal(listed([1, 2]), '1 and 2');
assert.equal(listed([1, 2, 5]), '1, 2 and 5');

// Times and lists: between points, and not past them.
assert.equal(at([0, 1, 2], [0, 10, 20], 1.5), 15);
assert.equal(at([0, 1, 2], [0, null, 20], 0.5), null);
assert.equal(at([0, 1, 2], [0, 10, 20], 2), 20);
assert.equal(at([0, 1, 2], [0, 10, 20], 2.1), null);
assert.equal(at([0, 1, 2], [0, 10, 20], -0.1), null);
assert.equal(at([0, 1, 2], [0, 10, 20], null), null);

const range = (name, speed) => ({ name, from_pct: 0, to_pct: 0, mean_velocity_m_s: speed });
const rep = (index, fields = {}) => ({ index, missed: false, sticking: null, ranges: [], range_m: q(0.4, 0.01),
    mean_velocity_m_s: q(0.4, 0.01), shake_mm: null, shake_hz: null, drive_start_s: null, drive_end_s: null, ...fields });
const set = (reps, fields = {}) => ({ log: { shake_apparent: false }, reps,
    set: { reps: reps.filter((one) => !one.missed).length, velocity_loss_pct: null, shake_hz: null, ...fields } });

// A sentence compares only what the intervals part.
const thirds = (first, second, third) => [range('low', first), range('mid', second), range('top', third)];
const clear = rep(1, { ranges: thirds(q(0.5, 0.01), q(0.3, 0.01), q(0.5, 0.01)) });
const unclear = rep(2, { ranges: thirds(q(0.5, 0.01), q(0.49, 0.01), q(0.5, 0.01)) });
assert.deepEqual(sentences(set([clear, unclear])),
    ['Of 2 reps the slowest third of the way up was “mid” in 1; in the others it cannot be told.', 'No rep has a sticking region.']);
assert.ok(sentences(set([unclear]))[0].startsWith('In no rep was one third'));
assert.ok(sentences(set([rep(1), rep(2)], { velocity_loss_pct: q(2, 3) }))[0].includes('as fast as the best one'));
assert.equal(sentences(set([rep(1), rep(2)], { velocity_loss_pct: q(17.8, 1.3) }))[0], 'The last rep was 17.8 ±1.3 % slower than the best.');
const shaky = (first, last) => sentences(set([rep(1, { shake_mm: first }), rep(2, { shake_mm: last })])).find((s) => s.startsWith('Shake'));
assert.equal(shaky(q(2, 0.2), q(4, 0.2)), 'Shake was larger in rep 2 than in rep 1: 4.00 ±0.20 against 2.00 ±0.20 mm.');
assert.equal(shaky(q(4, 0.2), q(2, 0.2)), 'Shake was smaller in rep 2 than in rep 1: 2.00 ±0.20 against 4.00 ±0.20 mm.');
assert.equal(shaky(q(2, 1), q(3, 1)), 'Shake of the first and the last rep cannot be told apart.');
assert.ok(sentences(set([rep(1, { missed: true, range_m: q(0.255, 0.005) })])).includes('Rep 1 was missed after 25.5 ±0.5 cm of the way up.'));
const stuck = (pct) => ({ end_pct: q(pct, 1) });
assert.ok(sentences(set([rep(1, { sticking: stuck(48) }), rep(2, { sticking: stuck(52) })]))
    .includes('There is a sticking region in reps 1 and 2, the bar slowest at 48 to 52 % of the way up.'));
assert.deepEqual(sentences(set([])), []);

// A drive at a constant 0.5 m/s passes each height when it should; one that stalls is taken where it first passes.
const time = Array.from({ length: 101 }, (_, i) => i / 50);
const flat = time.map(() => 1);
const none = time.map(() => null);
const traces = { time_s: time, height_m: { value: time.map((t) => 0.5 * t), low: none, high: none },
    speed_m_s: { value: time.map((t) => t), low: none, high: none }, shake_mm: { value: flat, low: none, high: none } };
const third = (name, from) => ({ name, from_pct: from, to_pct: from + 100 / 3 });
const [way] = waysUp(set([rep(1, { drive_start_s: 0.41, drive_end_s: 1.41, ranges: [third('a', 0), third('b', 100 / 3), third('c', 200 / 3)] })]), traces);
way.pct.forEach((pct, i) => {
    assert.ok(Math.abs(way.time[i] - (0.41 + pct / 100)) < 1e-9);
    assert.ok(Math.abs(way.speed.value[i] - way.time[i]) < 1e-9);
});
assert.ok(Math.abs(way.cuts[0] - (0.41 + 1 / 3)) < 1e-9 && way.cuts.length === 2);
assert.equal(waysUp(set([rep(1, { missed: true, drive_start_s: 0.4 })]), traces).length, 0);
assert.equal(waysUp(set([rep(1)]), null).length, 0);
console.log('figures, sentences and ways up are as they should be');
