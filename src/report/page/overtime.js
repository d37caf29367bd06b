// SPDX-License-Identifier: GPL-3.0-or-later
//
// The set over time: height, speed and shake, one clock, one zoom.
import { lines, makeChart, px, shade, upright, whole, write, zoom } from './chart.js';
import { element } from './dom.js';
import { fixed, inWords } from './figure.js';
import { isThere, lowest, recordAt, rescaled } from './paths.js';
import { numbers, plainTable } from './tables.js';
import { colour } from './theme.js';
import { capital, shakeWord } from './words.js';

const BEFORE_S = 0.4; // shown before and after a rep that was chosen

// What the three charts show: { key, title, unit, decimals, record, tint }.
function subjects(set, traces) {
    return [
        { key: 'height', title: 'Height above the lowest turnaround', unit: 'cm', decimals: 1, tint: 'height',
            record: rescaled(traces.height_m, 100, lowest(set, traces)) },
        { key: 'speed', title: 'Speed, up is positive', unit: 'm/s', decimals: 3, tint: 'speed',
            record: rescaled(traces.speed_m_s, 1) },
        { key: 'shake', title: `${capital(shakeWord(set))} along the bar, 0.7 to 8 Hz`, unit: 'mm', decimals: 2, tint: 'shake',
            record: rescaled(traces.shake_mm, 1) },
    ].filter(({ record }) => isThere(record));
}

// The drives as shaded stretches, cut at the ranges; and their numbers.
const marks = (set, ways) => (u, ctx) => {
    for (const rep of set.reps) {
        const from = rep.drive_start_s ?? rep.turnaround_s;
        const to = rep.drive_end_s ?? from;
        if (from === null || to < u.scales.x.min || from > u.scales.x.max) {
            continue;
        }
        shade(u, ctx, from, to, colour('drive'));
        for (const cut of ways.find((way) => way.rep === rep)?.cuts ?? []) {
            upright(u, ctx, cut, colour('cut'), [2, 3]);
        }
        if (rep.missed) {
            upright(u, ctx, from, colour('soft'), [5, 4]);
        }
    }
};

const names = (set) => (u, ctx) => {
    for (const rep of set.reps) {
        const from = rep.drive_start_s ?? rep.turnaround_s;
        if (from !== null) {
            write(u, ctx, rep.missed ? `${rep.index} missed` : `${rep.index}`,
                u.valToPos((from + (rep.drive_end_s ?? from)) / 2, 'x', true), u.bbox.top + px(3), colour('ink'));
        }
    }
};

function table(set, traces, shown) {
    const moments = [['descent starts', 'descent_start_s'], ['turnaround', 'turnaround_s'], ['drive starts', 'drive_start_s'],
        ['drive ends', 'drive_end_s']];
    const rows = set.reps.flatMap((rep) => moments.filter(([, key]) => rep[key] !== null).map(([name, key]) =>
        [`${rep.index}, ${name}`, fixed(rep[key], 2), ...shown.map(({ record, decimals }) =>
            inWords(recordAt(traces.time_s, record, rep[key]), decimals))]));
    return plainTable('Where the bar was at the moments of each rep',
        ['rep, moment', 'time, s', ...shown.map(({ key, unit }) => `${key}, ${unit}`)], rows);
}

export function makeOverTime(set, traces, ways) {
    const shown = subjects(set, traces);
    const readout = element('p', { class: 'readout', 'data-readout': 'time' });
    const speech = element('p', { class: 'unseen', 'aria-live': 'polite' });
    const charts = [];
    const textAt = (idx) => [`${fixed(traces.time_s[idx], 2)} s`, ...shown.map(({ key, record, decimals, unit }) =>
        `${key} ${inWords({ value: record.value[idx], low: record.low[idx], high: record.high[idx] }, decimals, unit)}`)].join(' · ');
    const rest = 'Drag across a chart, or choose a rep, to look closer; a double click shows the whole set again.';
    readout.textContent = rest;
    let following = false;
    for (const [i, { key, title, unit, record, tint }] of shown.entries()) {
        const last = i === shown.length - 1;
        const made = lines([{ record, scale: 'y',
            style: { label: key, stroke: () => colour(tint), fill: () => colour(`${tint}-band`) } }]);
        const chart = makeChart({
            name: key, kind: 'time', label: `${title} over time, ${unit}. Arrow keys move along it, plus and minus zoom, 0 shows all.`,
            height: (last ? 26 : 0) + (i === 0 ? 168 : 140), x: traces.time_s, ...made,
            scales: { y: { range: rangeOf(key) } },
            xAxis: { size: last ? 30 : 4, values: last ? (u, at) => at.map((t) => `${Number(t.toFixed(2))} s`) : (u, at) => at.map(() => '') },
            cursor: { sync: { key: 'time' }, drag: { x: true, y: false } },
            under: marks(set, ways), over: i === 0 ? names(set) : undefined,
            onMove: (idx) => { readout.textContent = idx === null ? rest : textAt(idx); },
            onSpeak: (idx) => { speech.textContent = textAt(idx); },
            onScale: (u, which) => follow(u, which),
        });
        charts.push({ chart, title: element('h3', {}, title, ', ', element('span', { class: 'unit' }, unit)) });
    }
    function follow(from, which) {
        if (which !== 'x' || following) {
            return;
        }
        following = true;
        for (const { chart } of charts) {
            if (chart.plot !== undefined && chart.plot !== from) {
                chart.plot.setScale('x', { min: from.scales.x.min, max: from.scales.x.max });
            }
        }
        following = false;
    }
    const button = (text, name, act) => {
        const made = element('button', { type: 'button', 'aria-label': name }, text);
        made.addEventListener('click', act);
        return made;
    };
    const all = (act) => () => act(charts[0].chart.plot);
    const node = element('div', {},
        element('div', { class: 'tools' }, button('+', 'Zoom in', all((plot) => zoom(plot, 0.5))),
            button('−', 'Zoom out', all((plot) => zoom(plot, 2))), button('Whole set', 'Show the whole set', all(whole))),
        ...charts.flatMap(({ chart, title }) => [title, chart.place]), readout, speech, numbers(() => table(set, traces, shown)));
    return {
        node,
        charts: charts.map(({ chart }) => chart),
        choose(rep) {
            const plot = charts[0].chart.plot;
            if (rep === null) {
                whole(plot);
                return;
            }
            const moments = [rep.descent_start_s, rep.drive_start_s, rep.turnaround_s, rep.drive_end_s].filter((t) => t !== null);
            plot.setScale('x', { min: Math.min(...moments) - BEFORE_S, max: Math.max(...moments) + BEFORE_S });
        },
    };
}

// A speed's and a shake's zero stays in sight; a shake is as wide to both sides.
const rangeOf = (key) => (u, min, max) => {
    if (min === null) {
        return [0, 1];
    }
    const room = Math.max((max - min) * 0.08, 1e-3);
    if (key === 'shake') {
        const most = Math.max(-min, max, 0.5) * 1.08;
        return [-most, most];
    }
    return [min - room, max + room * (key === 'height' ? 3 : 1)];
};
