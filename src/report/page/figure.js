// SPDX-License-Identifier: GPL-3.0-or-later
//
// Figures as a person is shown them, rounded to what their interval supports: the same rule as the text report's
// (src/report/table.c, after JCGM 100:2008, 7.2.6).
import { element, unseen } from './dom.js';

const TWO_DIGITS_END = 100;
const LOPSIDED = 2; // one side of an interval so many times as wide as the other is told as it is

export const isKnown = (q) => q !== null && q !== undefined && Number.isFinite(q.value);
export const hasInterval = (q) => isKnown(q) && Number.isFinite(q.low) && Number.isFinite(q.high);
export const scaled = (q, scale) =>
    isKnown(q) ? { value: q.value * scale, low: times(q.low, scale), high: times(q.high, scale) } : null;

function times(number, scale) {
    return Number.isFinite(number) ? number * scale : null;
}

// A number with a true minus sign, and never a minus zero.
export function fixed(value, decimals) {
    const text = Math.abs(value).toFixed(decimals);
    return value < 0 && Number(text) !== 0 ? `−${text}` : text;
}

// The power of ten of the second digit that counts, as it is after rounding: 0.0996 is 0.10.
function lastPower(half) {
    const power = Math.floor(Math.log10(half)) - 1;
    return Math.round(half / 10 ** power) >= TWO_DIGITS_END ? power + 1 : power;
}

// { value, half, decimals } rounded; half null where no interval was estimated.
export function shown(q, decimals) {
    if (!hasInterval(q)) {
        return { value: q.value, half: null, decimals };
    }
    const half = Math.max(q.value - q.low, q.high - q.value);
    const power = Math.max(half > 0 ? lastPower(half) : -decimals, -decimals);
    const step = 10 ** power;
    return {
        value: power > 0 ? Math.round(q.value / step) * step : q.value,
        half: Math.max(Math.round(half / step) * step, step),
        decimals: Math.max(-power, 0),
    };
}

function isLopsided(q, step) {
    const below = q.value - q.low;
    const above = q.high - q.value;
    const wide = Math.max(below, above);
    const narrow = Math.min(below, above);
    return wide > LOPSIDED * narrow && wide - narrow > step;
}

// A figure's two pieces of text: its value, and "±half" or "low to high" ("" where there is no interval).
export function pieces(q, decimals) {
    if (!isKnown(q)) {
        return { value: '–', interval: '' };
    }
    const to = shown(q, decimals);
    let interval = '';
    if (to.half !== null) {
        interval = isLopsided(q, 10 ** -to.decimals)
            ? `${fixed(q.low, to.decimals)} to ${fixed(q.high, to.decimals)}`
            : `±${fixed(to.half, to.decimals)}`;
    }
    return { value: fixed(to.value, to.decimals), interval };
}

// "0.412 ±0.004 m/s", "1.9 (0.4 to 2.1) mm", "not known"
export function inWords(q, decimals, unit = '') {
    if (!isKnown(q)) {
        return 'not known';
    }
    const { value, interval } = pieces(q, decimals);
    const between = interval === '' ? '' : interval.startsWith('±') ? ` ${interval}` : ` (${interval})`;
    return `${value}${between}${unit === '' ? '' : unit === '%' ? ' %' : ` ${unit}`}`;
}

// The same as an element, the interval in smaller type below or beside.
export function figure(q, decimals) {
    if (!isKnown(q)) {
        return element('span', { class: 'figure none' }, element('span', { 'aria-hidden': 'true' }, '–'),
            unseen('not known'));
    }
    const { value, interval } = pieces(q, decimals);
    return element('span', { class: 'figure' }, element('span', { class: 'value' }, value),
        interval === '' ? null : ' ', interval === '' ? null : element('span', { class: 'interval' }, interval));
}
