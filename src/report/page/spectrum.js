// SPDX-License-Identifier: GPL-3.0-or-later
//
// At which frequencies the bar moved sideways.
import { lines, makeChart, shade, upright } from './chart.js';
import { element } from './dom.js';
import { fixed, hasInterval, inWords, isKnown } from './figure.js';
import { numbers, plainTable } from './tables.js';
import { colour } from './theme.js';
import { frequency } from './words.js';

const BAND_HZ = [0.7, 8];

export function makeSpectrum(set, traces) {
    const { step_hz: step, density } = traces.spectrum;
    if (density.length === 0) {
        return null;
    }
    const hz = density.map((_, i) => Number((i * step).toFixed(3)));
    const none = density.map(() => null);
    const main = frequency(set);
    const rest = main === null ? 'The reps agree on no one frequency.' : `Mostly at ${inWords(main, 1, 'Hz')}: the upright line.`;
    const readout = element('p', { class: 'readout', 'data-readout': 'spectrum' }, rest);
    const speech = element('p', { class: 'unseen', 'aria-live': 'polite' });
    const textAt = (idx) => `${fixed(hz[idx], 1)} Hz: ${fixed(density[idx], 0)} (mm/s)²/Hz`;
    const chart = makeChart({
        name: 'spectrum', label: 'Density of the sideways speed over frequency. Arrow keys move along it.', height: 240, x: hz,
        ...lines([{ record: { value: density, low: none, high: none }, scale: 'y',
            style: { label: 'density', stroke: () => colour('shake'), fill: () => colour('shake-band') } }]),
        scales: { y: { range: (u, min, max) => [0, Math.max(max ?? 1, 1e-3) * 1.08] } },
        xAxis: { values: (u, at) => at.map((f) => `${Number(f.toFixed(1))} Hz`) },
        padding: [8, 24, 0, 0], cursor: { drag: { x: false, y: false } },
        under: (u, ctx) => {
            shade(u, ctx, BAND_HZ[0], BAND_HZ[1], colour('drive'));
            if (main !== null && hasInterval(main)) {
                shade(u, ctx, main.low, main.high, colour('shake-band'));
            }
            if (isKnown(main)) {
                upright(u, ctx, main.value, colour('shake'), [5, 4]);
            }
        },
        onMove: (idx) => { readout.textContent = idx === null ? rest : textAt(idx); },
        onSpeak: (idx) => { speech.textContent = textAt(idx); },
    });
    const rows = () => hz.map((f, i) => [f, i]).filter(([f]) => Math.abs(f * 2 - Math.round(f * 2)) < 1e-6)
        .map(([f, i]) => [`${fixed(f, 1)} Hz`, fixed(density[i], 1)]);
    return { chart, node: element('div', { class: 'panel' },
        element('h3', {}, 'Frequencies of the shake, ', element('span', { class: 'unit' }, '(mm/s)²/Hz')),
        element('p', { class: 'note' }, 'Sideways speed over all completed drives. Shaded: the band that counts as shake, 0.7 to 8 Hz. A short drive blurs the peaks: one of 1 s cannot part what lies closer than about 2 Hz. No interval is estimated for this curve.'),
        chart.place, readout, speech, numbers(() => plainTable('Density of the sideways speed', ['frequency', '(mm/s)²/Hz'], rows()))) };
}
