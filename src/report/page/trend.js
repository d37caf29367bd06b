// SPDX-License-Identifier: GPL-3.0-or-later
//
// A figure over the weeks as a small chart: days with their intervals, and the line through them.
import { saying } from './blockwords.js';
import { drawing, element } from './dom.js';
import { fixed, hasInterval, inWords } from './figure.js';
import { numbers, plainTable } from './tables.js';
import { capital } from './words.js';

const WIDTH = 320;
const HEIGHT = 150;
const LEFT = 42;
const RIGHT = 8;
const TOP = 8;
const BOTTOM = 22;
const TICKS = 4;
const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];

const dayWords = (date) => `${Number(date.slice(8))} ${MONTHS[Number(date.slice(5, 7)) - 1]}`;
const titleOf = (trend) => `${capital(trend.words)}${trend.load_kg === null ? '' : ` at ${trend.load_kg.toFixed(1)} kg`}`;

// Of a block's many trends the one of speed with most days, the heavier of two, and the shake's.
export function pickTrend(trends) {
    const most = (subject) => trends.filter((trend) => trend.subject === subject && trend.points.length > 1)
        .reduce((best, trend) => (best === null || trend.points.length >= best.points.length ? trend : best), null);
    return [most('speed'), most('shake')].filter((trend) => trend !== null);
}

// Round steps of 1, 2 or 5.
function ticksBetween(low, high) {
    const rough = (high - low) / TICKS;
    const power = 10 ** Math.floor(Math.log10(rough));
    const step = [1, 2, 5, 10].map((n) => n * power).find((n) => n >= rough);
    const list = [];
    for (let i = Math.ceil(low / step); i * step <= high; i++) {
        list.push(i * step);
    }
    return { list, decimals: Math.max(0, -Math.floor(Math.log10(step))) };
}

function scaleOf(trend) {
    const ends = trend.points.flatMap(({ figure: q }) => (hasInterval(q) ? [q.low, q.high] : [q.value]));
    if (trend.first !== null) {
        ends.push(trend.first.value, trend.last.value);
    }
    const low = Math.min(...ends);
    const high = Math.max(...ends);
    const room = Math.max((high - low) * 0.08, Math.abs(high) * 0.02, 1e-6);
    const first = trend.points[0].day;
    const span = Math.max(trend.points[trend.points.length - 1].day - first, 1);
    return {
        low: low - room, high: high + room,
        x: (day) => LEFT + 6 + ((day - first) / span) * (WIDTH - LEFT - RIGHT - 12),
        y: (value) => TOP + ((high + room - value) / (high - low + 2 * room)) * (HEIGHT - TOP - BOTTOM),
    };
}

function grid(trend, at) {
    const { list, decimals } = ticksBetween(at.low, at.high);
    const { points } = trend;
    return [
        ...list.flatMap((value) => [
            drawing('line', { x1: LEFT, x2: WIDTH - RIGHT, y1: at.y(value), y2: at.y(value), class: 'rail' }),
            drawing('text', { x: LEFT - 5, y: at.y(value) + 4, 'text-anchor': 'end' }, fixed(value, decimals))]),
        drawing('text', { x: LEFT, y: HEIGHT - 5 }, dayWords(points[0].date)),
        drawing('text', { x: WIDTH - RIGHT, y: HEIGHT - 5, 'text-anchor': 'end' }, dayWords(points[points.length - 1].date)),
    ];
}

function picture(trend) {
    const at = scaleOf(trend);
    const { points } = trend;
    const line = trend.first === null ? null : drawing('line', { x1: at.x(points[0].day), x2: at.x(points[points.length - 1].day),
        y1: at.y(trend.first.value), y2: at.y(trend.last.value), class: trend.verdict === 'cannot_tell' ? 'slope unsure' : 'slope' });
    const label = `${titleOf(trend)}, ${points.length} points: ${trend.sentence}`;
    return drawing('svg', { viewBox: `0 0 ${WIDTH} ${HEIGHT}`, class: 'weeks', role: 'img', 'aria-label': label },
        ...grid(trend, at),
        ...points.filter(({ figure: q }) => hasInterval(q)).map(({ day, figure: q }) =>
            drawing('line', { x1: at.x(day), x2: at.x(day), y1: at.y(q.low), y2: at.y(q.high), class: 'whisker' })),
        ...[line].filter(Boolean),
        ...points.map(({ day, figure: q }) => drawing('circle', { cx: at.x(day), cy: at.y(q.value), r: 3, class: 'dot' })));
}

const INK = { speed: 'speed', best: 'speed', sticking_depth: 'speed', shake: 'shake' };

// of: whose trend it is, which stands over the panel where told.
export function makeTrend(of, trend, told) {
    const table = () => plainTable(`${of}: ${titleOf(trend)}, ${trend.unit}`, [trend.subject === 'one_rep_max' ? 'week from' : 'day', 'sets', trend.unit],
        trend.points.map((point) => [point.date, `${point.sets}`, inWords(point.figure, trend.decimals + 1)]));
    return element('div', { class: `panel third trend of-${INK[trend.subject] ?? 'other'}`, 'data-trend': trend.subject },
        told ? element('p', { class: 'over' }, of) : null,
        element('h3', {}, titleOf(trend), ', ', element('span', { class: 'unit' }, trend.unit)),
        picture(trend), element('p', { class: 'readout' }, saying(trend.sentence)), numbers(table));
}
