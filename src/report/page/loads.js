// SPDX-License-Identifier: GPL-3.0-or-later
//
// What the bar weighed on the way up, what the hands gave and the power: where a rig or the bar's mass was given.
import { lines, makeChart, px } from './chart.js';
import { element } from './dom.js';
import { hasInterval, isKnown } from './figure.js';
import { numbers, repTable } from './tables.js';
import { colour, repColour } from './theme.js';

const SUBJECTS = [
    { field: 'load_kg', title: 'Load', unit: 'kg', decimals: 1 },
    { field: 'force_n', title: 'Force of the hands', unit: 'N', decimals: 0 },
    { field: 'power_w', title: 'Power', unit: 'W', decimals: 0 },
];

const figuresOf = (rep, field) => rep.ranges.map((range) => range[field] ?? null);
const knows = (set, field) => set.reps.some((rep) => figuresOf(rep, field).some(isKnown));

function whiskers(reps, field, x, choice, count) {
    return (u, ctx) => {
        for (const [k, rep] of reps.entries()) {
            const shift = px((k - (reps.length - 1) / 2) * 3);
            for (const [i, q] of figuresOf(rep, field).entries()) {
                if (!isKnown(q)) {
                    continue;
                }
                const left = u.valToPos(x[i], 'x', true) + shift;
                const faint = choice.rep === null || choice.rep === rep ? 1 : 0.16;
                ctx.strokeStyle = ctx.fillStyle = repColour(rep.index - 1, count, faint);
                ctx.lineWidth = px(1.5);
                if (hasInterval(q)) {
                    ctx.beginPath();
                    ctx.moveTo(left, u.valToPos(q.low, 'y', true));
                    ctx.lineTo(left, u.valToPos(q.high, 'y', true));
                    ctx.stroke();
                }
                ctx.beginPath();
                ctx.arc(left, u.valToPos(q.value, 'y', true), px(2.5), 0, 2 * Math.PI);
                ctx.fill();
            }
        }
    };
}

function makePanel(set, choice, subject) {
    const reps = set.reps.filter((rep) => figuresOf(rep, subject.field).some(isKnown));
    const ranges = reps[0].ranges;
    const x = ranges.map((range) => (range.from_pct + range.to_pct) / 2);
    const column = (rep, end) => figuresOf(rep, subject.field).map((q) => (isKnown(q) ? q[end] : null));
    const chart = makeChart({
        name: subject.field, label: `${subject.title} through the ranges of each rep, ${subject.unit}`, height: 234, x,
        ...lines(reps.map((rep) => ({ record: { value: column(rep, 'value'), low: column(rep, 'low'), high: column(rep, 'high') }, scale: 'y',
            style: { label: `rep ${rep.index}`, width: 1, fill: () => 'rgba(0,0,0,0)',
                stroke: () => repColour(rep.index - 1, set.reps.length, choice.rep === null || choice.rep === rep ? 0.5 : 0.1) } }))),
        scales: { x: { time: false, range: [0, 100] }, y: { range: (u, min, max) => {
            const room = Math.max(((max ?? 1) - (min ?? 0)) * 0.15, Math.abs(max ?? 1) * 0.02);
            return [Math.max((min ?? 0) - room, 0), (max ?? 1) + room];
        } } },
        xAxis: { splits: x, size: 44, values: () => ranges.map((range) => range.name.replace(/ (?=\S+$)/, '\n')), grid: { show: false }, stroke: () => colour('soft') },
        cursor: { show: false },
        over: whiskers(reps, subject.field, x, choice, set.reps.length),
    });
    const table = () => repTable(`${subject.title}, ${subject.unit}`, set, ranges.map((range, i) => ({ name: `ranges.${i}.${subject.field}`,
        head: range.name, unit: subject.unit, decimals: subject.decimals, of: (rep) => rep.ranges[i]?.[subject.field] ?? null })));
    return { chart, node: element('div', { class: 'panel third' },
        element('h3', {}, subject.title, ', ', element('span', { class: 'unit' }, subject.unit)), chart.place, numbers(table)) };
}

export const LOADS_NOTE = 'Load, kg: what would hold the bar still there. Force and power, N and W: what the hands gave, with the inertia of what moves. Each is the mean over the time in the range, upright lines its interval.';

export const makeLoads = (set, choice) =>
    SUBJECTS.filter(({ field }) => knows(set, field)).map((subject) => makePanel(set, choice, subject));
