// SPDX-License-Identifier: GPL-3.0-or-later
//
// The way up by height, all reps over one another: how fast, and where the bar was seen from the front.
import { lines, makeChart, plain, px, upright, write } from './chart.js';
import { element } from './dom.js';
import { fixed, inWords } from './figure.js';
import { isThere } from './paths.js';
import { numbers, plainTable } from './tables.js';
import { colour, repColour } from './theme.js';

// How much of its colour a rep keeps when another was chosen, and its band.
const FAINT = 0.16;
const BAND_OF_ONE = 0.22;
const BAND_OF_MANY = 0.1;

// The ways up of which a rep was chosen; all where none was, or one that has none.
function chosen(ways, choice) {
    const one = ways.filter((way) => way.rep === choice.rep);
    return one.length > 0 ? one : ways;
}

// One record of each way up as lines with bands; the chosen rep stands out.
function overlaid(ways, key, choice, count) {
    const style = (way) => ({
        label: `rep ${way.rep.index}`,
        stroke: () => repColour(way.rep.index - 1, count, chosen(ways, choice).includes(way) ? 1 : FAINT),
        fill: () => {
            const those = chosen(ways, choice);
            return repColour(way.rep.index - 1, count, !those.includes(way) ? 0 : those.length > 1 ? BAND_OF_MANY : BAND_OF_ONE);
        },
        width: 2,
    });
    return lines(ways.map((way) => ({ record: way[key], scale: 'y', style: style(way) })));
}

const cuts = (ways) => (u, ctx) => (ways[0]?.rep.ranges ?? []).slice(1)
    .forEach((range) => upright(u, ctx, range.from_pct, colour('cut'), [2, 3]));

const names = (ways) => (u, ctx) => (ways[0]?.rep.ranges ?? []).forEach((range) => write(u, ctx, range.name,
    u.valToPos((range.from_pct + range.to_pct) / 2, 'x', true), u.bbox.top + px(3), colour('soft')));

function table(caption, ways, key, decimals, unit) {
    const rows = () => ways[0].pct.map((pct, i) => [pct, i]).filter(([pct]) => pct % 10 === 0).map(([pct, i]) =>
        [`${pct} %`, ...ways.map((way) => inWords({ value: way[key].value[i], low: way[key].low[i], high: way[key].high[i] }, decimals))]);
    return numbers(() => plainTable(`${caption}, ${unit}`, ['of the way up', ...ways.map((way) => `rep ${way.rep.index}`)], rows()));
}

function makePanel(options) {
    const { ways, key, choice, count, unit, decimals } = options;
    const rest = options.hint;
    const readout = element('p', { class: 'readout', 'data-readout': key }, rest);
    const speech = element('p', { class: 'unseen', 'aria-live': 'polite' });
    const one = (way, idx, full) => (full
        ? inWords({ value: way[key].value[idx], low: way[key].low[idx], high: way[key].high[idx] }, decimals, unit)
        : way[key].value[idx] === null ? '–' : fixed(way[key].value[idx], decimals));
    const textAt = (idx) => {
        const listed = chosen(ways, choice);
        return `${ways[0].pct[idx]} % up: ${listed.map((way) => `rep ${way.rep.index} ${one(way, idx, listed.length === 1)}`).join(' · ')}${
            listed.length === 1 ? '' : ` ${unit}`}`;
    };
    const chart = makeChart({
        name: options.name, kind: options.name, label: `${options.title}. Arrow keys move along it.`, height: options.height, x: ways[0].pct,
        ...overlaid(ways, key, choice, count), ...options.chart,
        onMove: (idx) => { readout.textContent = idx === null ? rest : textAt(idx); },
        onSpeak: (idx) => { speech.textContent = textAt(idx); },
    });
    return { chart, node: element('div', { class: options.wide ? 'panel across' : 'panel' }, element('h3', {}, options.title, ', ', element('span', { class: 'unit' }, unit)),
        options.note ? element('p', { class: 'note' }, options.note) : null, chart.place, readout, speech,
        table(options.title, ways, key, decimals, unit)) };
}

const percent = { values: (u, at) => at.map((pct) => `${pct} %`) };

export function makeSpeedByHeight(ways, choice, count) {
    return makePanel({
        ways, key: 'speed', choice, count, unit: 'm/s', decimals: 3, name: 'climb', title: 'Speed on the way up', height: 300, wide: true,
        hint: 'Across: how far up, in % of the drive’s rise.',
        chart: {
            padding: [8, 24, 0, 0], xAxis: percent, scales: { x: { time: false, range: [0, 100] }, y: { range: (u, min, max) => [0, (max ?? 1) * 1.16] } },
            cursor: { drag: { x: false, y: false } }, under: cuts(ways), over: names(ways),
        },
    });
}

export function makeFrontView(ways, choice, count, apparent) {
    if (!ways.some((way) => isThere(way.shake))) {
        return null;
    }
    return makePanel({
        ways, key: 'shake', choice, count, unit: 'mm', decimals: 2, name: 'front', title: 'The drives from the front, 0.7 to 8 Hz only', height: 300,
        note: `Movement along the bar, drawn much larger than upward. A slow drift to one side is not in it, and which side is left is not known.${
            apparent ? ' Without a gyroscope the bar’s tilt is in it too.' : ''}`,
        hint: 'Up: how far up, in % of the drive’s rise. Across: sideways, mm.',
        chart: {
            padding: [8, 24, 0, 0],
            scales: {
                x: { time: false, ori: 1, dir: 1, range: [0, 100] },
                y: { ori: 0, dir: 1, range: (u, min, max) => { const most = Math.max(-(min ?? -1), max ?? 1, 0.5) * 1.08; return [-most, most]; } },
            },
            xAxis: { ...percent, side: 3, size: 46 }, yAxis: { side: 2, size: 30, space: 64, values: (u, at) => at.map((mm) => `${plain(mm)} mm`) },
            cursor: { x: false, y: true, drag: { x: false, y: false } }, under: cuts(ways),
        },
    });
}
