// SPDX-License-Identifier: GPL-3.0-or-later
//
// Tables of figures, a row a rep. A column in which nothing is known is left out.
import { drawing, element, unseen } from './dom.js';
import { figure, fixed, hasInterval, isKnown, scaled } from './figure.js';

// columns: { head, unit, of(rep) -> figure or null, decimals, scale }
export function repTable(caption, set, columns, extra = {}) {
    const there = columns.filter((column) => column.always || set.reps.some((rep) => isKnown(column.of(rep))));
    const head = element('tr', {}, element('th', { scope: 'col' }, 'rep'), ...there.map((column) =>
        element('th', { scope: 'col' }, column.head, ' ', element('span', { class: 'unit' }, column.unit))),
    extra.head ? element('th', { scope: 'col', class: 'wide' }, extra.head) : null);
    const rows = set.reps.map((rep) => element('tr', { 'data-rep': rep.index },
        element('th', { scope: 'row' }, `${rep.index}`, rep.missed ? element('span', { class: 'unit' }, ' missed') : null),
        ...there.map((column) => element('td', { 'data-figure': column.name },
            figure(scaled(column.of(rep), column.scale ?? 1), column.decimals))),
        extra.cell ? element('td', { class: 'wide' }, extra.cell(rep)) : null));
    return element('div', { class: 'scroll', tabindex: '0', role: 'region', 'aria-label': caption },
        element('table', { class: 'figures' }, element('caption', {}, caption),
            element('thead', {}, head), element('tbody', {}, ...rows)));
}

// A plain table: heads, and rows of text or nodes; the first cell of a row is its head. left: the columns of words.
export const plainTable = (caption, heads, rows, left = []) => {
    const place = (i) => (left.includes(i) ? { class: 'left' } : {});
    return element('div', { class: 'scroll', tabindex: '0', role: 'region', 'aria-label': caption },
        element('table', { class: 'figures' }, element('caption', {}, caption),
            element('thead', {}, element('tr', {}, ...heads.map((head, i) => element('th', { scope: 'col', ...place(i) }, head)))),
            element('tbody', {}, ...rows.map((row) => element('tr', {}, ...row.map((cell, i) =>
                element(i === 0 ? 'th' : 'td', i === 0 ? { scope: 'row' } : place(i), cell)))))));
};

// What is folded away is made when it is first unfolded: most readers never look, and all would wait for it.
export function folded(title, make) {
    const details = element('details', {}, element('summary', {}, title));
    details.addEventListener('toggle', () => details.append(...[make()].flat().filter(Boolean)), { once: true });
    return details;
}

// The table behind a chart.
export const numbers = (make) => folded('The numbers', make);

const ofRange = (i, field) => (rep) => rep.ranges[i]?.[field] ?? null;
const rangeNames = (set) => set.reps.find((rep) => rep.ranges.length > 0)?.ranges.map((range) => range.name) ?? [];

const rangeColumns = (set, field, unit, decimals) => rangeNames(set).map((name, i) =>
    ({ name: `ranges.${i}.${field}`, head: name, unit, decimals, of: ofRange(i, field) }));
const column = (name, head, unit, decimals, options = {}) => ({ name, head, unit, decimals, of: (rep) => rep[name] ?? null, ...options });

const STRIP_STEP_M_S = 0.05;

// Each rep's mean velocity as a dot with its interval, all reps on one scale between round speeds.
function strip(set) {
    const known = set.reps.map((rep) => rep.mean_velocity_m_s).filter(isKnown);
    if (known.length === 0) {
        return {};
    }
    const from = Math.floor(Math.min(...known.map((q) => q.low ?? q.value)) / STRIP_STEP_M_S) * STRIP_STEP_M_S;
    const to = Math.ceil(Math.max(...known.map((q) => q.high ?? q.value)) / STRIP_STEP_M_S + 1e-9) * STRIP_STEP_M_S;
    const width = 160;
    const place = (x) => ((x - from) / (to - from)) * (width - 8) + 4;
    const cell = (rep) => {
        const q = rep.mean_velocity_m_s;
        if (!isKnown(q)) {
            return unseen('not known');
        }
        return drawing('svg', { viewBox: `0 0 ${width} 16`, class: 'strip', 'aria-hidden': 'true', focusable: 'false' },
            drawing('line', { x1: 4, x2: width - 4, y1: 8, y2: 8, class: 'rail' }),
            hasInterval(q) ? drawing('line', { x1: place(q.low), x2: place(q.high), y1: 8, y2: 8, class: 'whisker' }) : null,
            drawing('circle', { cx: place(q.value), cy: 8, r: 3.5, class: 'dot' }));
    };
    return { head: `mean, ${fixed(from, 2)} to ${fixed(to, 2)} m/s`, cell };
}

// What a coach looks at first.
export function firstTable(set) {
    return repTable('Mean velocity, its three ranges and the shake of each rep', set, [
        column('mean_velocity_m_s', 'mean', 'm/s', 3, { always: true }),
        ...rangeColumns(set, 'mean_velocity_m_s', 'm/s', 3),
        column('shake_mm', set.log.shake_apparent ? 'app. shake' : 'shake', 'mm', 2),
    ], strip(set));
}

export function allTables(set) {
    const stuck = (field) => (rep) => rep.sticking?.[field] ?? null;
    const speed = repTable('How fast', set, [
        column('mean_velocity_m_s', 'mean', 'm/s', 3, { always: true }),
        column('peak_velocity_m_s', 'peak', 'm/s', 3),
        column('propulsive_velocity_m_s', 'propulsive', 'm/s', 3),
        column('range_m', 'range', 'cm', 1, { scale: 100 }),
        column('descent_time_s', 'descent', 's', 2),
        column('pause_s', 'pause', 's', 2),
        column('drive_time_s', 'drive', 's', 2),
        { name: 'sticking.end_pct', head: 'sticks at', unit: '% up', decimals: 0, of: stuck('end_pct') },
        { name: 'sticking.low_m_s', head: 'slowest', unit: 'm/s', decimals: 3, of: stuck('low_m_s') },
    ]);
    const steady = repTable('How steady', set, [
        column('shake_mm', 'drive', 'mm', 2, { always: true }),
        ...rangeColumns(set, 'shake_mm', 'mm', 2),
        column('descent_shake_mm', 'descent', 'mm', 2),
        column('shake_hz', 'mostly', 'Hz', 1),
        column('shake_m_s2', 'shake', 'm/s²', 2),
        column('clatter_m_s2', 'clatter', 'm/s²', 2),
        column('sway_area_cm2', 'sway', 'cm²', 1),
        column('tilt_deg', 'tilt', 'deg', 1),
        column('smoothness', 'smooth', '', 2),
    ]);
    const loads = [['load_kg', 'kg', 1], ['force_n', 'N', 0], ['power_w', 'W', 0]].flatMap(([field, unit, decimals]) =>
        rangeColumns(set, field, unit, decimals));
    const whole = [
        column('load_kg', 'load', 'kg', 1),
        column('force_n', 'force', 'N', 0),
        column('peak_force_n', 'peak', 'N', 0),
        column('power_w', 'power', 'W', 0),
        column('peak_power_w', 'peak', 'W', 0),
        column('work_j', 'work', 'J', 0),
        column('impulse_n_s', 'impulse', 'N s', 0),
    ];
    const known = (columns) => columns.some((one) => set.reps.some((rep) => isKnown(one.of(rep))));
    return [speed, steady, known(loads) ? repTable('Load, force and power through the ranges', set, loads) : null,
        known(whole) ? repTable('Load, force and power over the drive', set, whole) : null];
}

export { rangeNames };
