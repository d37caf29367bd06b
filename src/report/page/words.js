// SPDX-License-Identifier: GPL-3.0-or-later
//
// What the figures say, in sentences. A sentence compares two figures only where their intervals part.
import { element } from './dom.js';
import { hasInterval, inWords, isKnown, scaled } from './figure.js';

export const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
export const count = (n, one, many = `${one}s`) => `${n} ${n === 1 ? one : many}`;

// "1", "1 and 2", "1, 2 and 4", "1 to 5"
export function listed(numbers) {
    const run = numbers.every((n, i) => i === 0 || n === numbers[i - 1] + 1);
    if (run && numbers.length > 2) {
        return `${numbers[0]} to ${numbers[numbers.length - 1]}`;
    }
    return numbers.length > 1
        ? `${numbers.slice(0, -1).join(', ')} and ${numbers[numbers.length - 1]}`
        : `${numbers[0] ?? ''}`;
}

const reps = (list) => `rep${list.length === 1 ? '' : 's'} ${listed(list.map((rep) => rep.index))}`;
const completed = (set) => set.reps.filter((rep) => !rep.missed);

function ofLoss(set) {
    const loss = set.set.velocity_loss_pct;
    if (!hasInterval(loss) || set.set.reps < 2) {
        return null;
    }
    return loss.low > 0
        ? `The last rep was ${inWords(loss, 1, '%')} slower than the best.`
        : 'The last rep was as fast as the best one, as far as this log can tell.';
}

// The range in which a rep was slower than in each other, beyond both intervals; null if there is none.
function slowest(rep) {
    const sure = rep.ranges.filter((range) => hasInterval(range.mean_velocity_m_s));
    if (sure.length < 2 || sure.length < rep.ranges.length) {
        return null;
    }
    return sure.find((range) => sure.every((other) => other === range ||
        range.mean_velocity_m_s.high < other.mean_velocity_m_s.low))?.name ?? null;
}

function ofRanges(set) {
    const done = completed(set).filter((rep) => rep.ranges.length > 1);
    const names = done.map(slowest);
    const named = [...new Set(names.filter((name) => name !== null))]
        .map((name) => [name, names.filter((other) => other === name).length])
        .sort((a, b) => b[1] - a[1]);
    if (done.length === 0) {
        return null;
    }
    if (named.length === 0) {
        return 'In no rep was one third of the way up slower than both others beyond the ±.';
    }
    const where = named.map(([name, n]) => `“${name}” in ${n}`);
    return `Of ${count(done.length, 'rep')} the slowest third of the way up was ${where.join(', ')}${
        named.reduce((sum, [, n]) => sum + n, 0) < done.length ? '; in the others it cannot be told' : ''}.`;
}

function ofSticking(set) {
    const stuck = set.reps.filter((rep) => rep.sticking !== null);
    const heights = stuck.map((rep) => rep.sticking.end_pct).filter(isKnown).map((q) => Math.round(q.value));
    if (stuck.length === 0) {
        return completed(set).length > 0 ? 'No rep has a sticking region.' : null;
    }
    const low = Math.min(...heights);
    const high = Math.max(...heights);
    const where = heights.length === 0 ? '' : low === high ? `, the bar slowest at ${low} % of the way up`
        : `, the bar slowest at ${low} to ${high} % of the way up`;
    return `There is a sticking region in ${reps(stuck)}${where}.`;
}

const ofMissed = (set) => set.reps.filter((rep) => rep.missed).map((rep) => `Rep ${rep.index} was missed${
    isKnown(rep.range_m) ? ` after ${inWords(scaled(rep.range_m, 100), 1, 'cm')} of the way up` : ''}.`);

// Where the reps agree on a frequency: their intervals all hold the set's.
export function frequency(set) {
    const of = set.set.shake_hz;
    const agree = set.reps.every(({ shake_hz: q }) => !hasInterval(q) || (q.low <= of?.value && q.high >= of?.value));
    if (isKnown(of) && agree) {
        return of;
    }
    return null;
}

export const shakeWord = (set) => (set.log.shake_apparent ? 'apparent shake' : 'shake');

function ofShake(set) {
    const sure = completed(set).filter((rep) => hasInterval(rep.shake_mm));
    if (sure.length < 2) {
        return null;
    }
    const first = sure[0];
    const last = sure[sure.length - 1];
    const pair = `${inWords(last.shake_mm, 2)} against ${inWords(first.shake_mm, 2, 'mm')}`;
    const word = capital(shakeWord(set));
    if (last.shake_mm.low > first.shake_mm.high) {
        return `${word} was larger in rep ${last.index} than in rep ${first.index}: ${pair}.`;
    }
    if (last.shake_mm.high < first.shake_mm.low) {
        return `${word} was smaller in rep ${last.index} than in rep ${first.index}: ${pair}.`;
    }
    return `${word} of the first and the last rep cannot be told apart.`;
}

function ofFrequency(set) {
    const of = frequency(set);
    if (of !== null) {
        return `It shook mostly at ${inWords(of, 1, 'Hz')}.`;
    }
    return set.reps.some((rep) => isKnown(rep.shake_hz)) ? 'It shook at no one frequency.' : null;
}

export const sentences = (set) =>
    [ofLoss(set), ofRanges(set), ofSticking(set), ...ofMissed(set), ofShake(set), ofFrequency(set)]
        .filter((sentence) => sentence !== null);

// What stands at the end of every page.
export const caution = () => element('footer', {}, element('p', {},
    'This measures the bar; it clears nobody to lift. No figure here says that a load is safe. The gym’s rules and qualified coaching come first.'));
