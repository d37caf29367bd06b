// SPDX-License-Identifier: GPL-3.0-or-later
//
// The page of a comparison: for each pair the loads, what can be told, and every figure's interval about none.
import { loadWords, nameOf, saying } from './blockwords.js';
import { drawing, element, section, unseen } from './dom.js';
import { hasInterval, inWords, isKnown, pieces } from './figure.js';
import { folded, plainTable } from './tables.js';
import { capital, caution, count } from './words.js';

// The strips are cut so many times what is worth naming away from none.
const REACH = 5;
const WIDTH = 400;
const HEIGHT = 20;

const isRatio = (one) => one.scale === 'ratio';
const contrastOf = (one, p) => (isRatio(one) ? one.pairs[p].ratio_all : one.pairs[p].difference_all);
const words = (one, q) => (isRatio(one) ? inWords(q, 2, 'times') : inWords(q, one.decimals + 1, one.unit));
const meanWords = (one, mean) => (mean === null ? '–' : pieces({ value: mean }, one.decimals + 1).value);

// A figure's own scale turned into multiples of what is worth naming; a ratio on logarithms.
const inWorth = (one, value) => (isRatio(one) ? Math.log(value) / Math.log(one.worth) : value / one.worth);

function strip(one, q) {
    const place = (value) => {
        const at = Math.min(Math.max(inWorth(one, value), -REACH), REACH);
        return ((at + REACH) / (2 * REACH)) * WIDTH;
    };
    const unit = WIDTH / (2 * REACH);
    const line = (x1, x2, name) => drawing('line', { x1, x2, y1: HEIGHT / 2, y2: HEIGHT / 2, class: name });
    const beyond = (value, side) => inWorth(one, value) * side > REACH;
    const tip = (side) => drawing('path', { d: side > 0 ? `M${WIDTH - 9} 4 L${WIDTH} 10 L${WIDTH - 9} 16` : 'M9 4 L0 10 L9 16', class: 'tip' });
    return drawing('svg', { viewBox: `0 0 ${WIDTH} ${HEIGHT}`, class: 'about', preserveAspectRatio: 'none', 'aria-hidden': 'true', focusable: 'false' },
        drawing('rect', { x: WIDTH / 2 - unit, y: 0, width: 2 * unit, height: HEIGHT, class: 'little' }),
        drawing('line', { x1: WIDTH / 2, x2: WIDTH / 2, y1: 0, y2: HEIGHT, class: 'none' }),
        ...(hasInterval(q) ? [line(place(q.low), place(q.high), 'whisker'),
            beyond(q.low, -1) ? tip(-1) : null, beyond(q.high, 1) ? tip(1) : null].filter(Boolean) : []),
        line(place(q.value), place(q.value), 'dot'));
}

function contrastRow(comparison, one, p) {
    const q = contrastOf(one, p);
    const told = one.pairs[p].verdict !== 'cannot_tell';
    return element('li', { class: told ? 'told' : null, 'data-figure': one.name },
        element('span', { class: 'what' }, capital(one.words)),
        isKnown(q) && one.worth !== null ? strip(one, q) : element('span', { class: 'about' }),
        element('span', { class: 'much' }, words(one, q)));
}

function numbersOf(title, comparison, p) {
    const { first, second } = comparison.pairs[p];
    const at = (name) => comparison.groups.findIndex((group) => group.name === name);
    return plainTable(`${title}: means, and ${nameOf(first)} less ${nameOf(second)} (or over it, in times)`,
        ['figure', nameOf(first), nameOf(second), 'difference', 'units', 'verdict'],
        comparison.figures.map((one) => [`${one.words}${one.unit ? `, ${one.unit}` : ''}`, meanWords(one, one.groups[at(first)].mean),
            meanWords(one, one.groups[at(second)].mean), words(one, contrastOf(one, p)),
            one.pairs[p].unit === null ? '–' : `${one.pairs[p].units.join(' and ')} ${one.pairs[p].unit}s${one.pairs[p].paired ? ', paired' : ''}`,
            one.pairs[p].verdict.replace('_', ' ')]));
}

function pairParts(title, comparison, p) {
    const of = comparison.pairs[p];
    const figures = comparison.figures.filter((one) => !/load/.test(one.name));
    const told = figures.filter((one) => one.pairs[p].verdict !== 'cannot_tell');
    const untold = figures.filter((one) => one.pairs[p].verdict === 'cannot_tell');
    return [
        element('h3', {}, `${nameOf(of.first)} and ${nameOf(of.second)}`),
        element('p', { class: 'loads' }, element('span', { class: `tag is-${of.loads}` }, 'loads'), ' ', saying(of.sentence)),
        element('ul', { class: 'said' }, ...told.map((one) => element('li', {}, saying(one.pairs[p].sentence))),
            untold.length > 0 ? element('li', {}, `Cannot be told apart in ${untold.map((one) => one.words).join(', ')}.`) : null),
        element('p', { class: 'axis', 'aria-hidden': 'true' }, element('span', {}), element('span', { class: 'ends' },
            element('span', {}, `← less with ${nameOf(of.first)}`), element('span', {}, `more with ${nameOf(of.first)} →`)), element('span', {})),
        element('ul', { class: 'contrasts', 'aria-label': `${title}, ${nameOf(of.first)} less ${nameOf(of.second)}` },
            ...comparison.figures.map((one) => contrastRow(comparison, one, p))),
        folded('The numbers', () => numbersOf(title, comparison, p)),
        untold.length === 0 ? null : folded('What would tell the rest', () => restOf(`${title}, ${nameOf(of.first)} and ${nameOf(of.second)}: figures that cannot be told apart`, untold, p)),
    ];
}

function restOf(caption, untold, p) {
    return plainTable(caption, ['figure', 'why'], untold.map((one) => [capital(one.words), element('span', { class: 'told-of' }, saying(one.pairs[p].sentence))]), [1]);
}

function groupTable(title, comparison, by) {
    return plainTable(`${title}: what is compared`, [by, 'sets', 'days', 'reps', 'load at lockout'], comparison.groups.map((group) =>
        [element('span', { class: 'name' }, nameOf(group.name)), `${group.sets}`, `${group.days}`, `${group.reps}`, loadWords(group)]));
}

function comparisonSection(data, comparison, i) {
    const title = capital([comparison.lift, data.by === 'setup' ? null : comparison.setup, data.by === 'lifter' ? null : comparison.lifter]
        .filter(Boolean).join(', '));
    return section(`comparison-${i + 1}`, title, groupTable(title, comparison, data.by),
        ...comparison.cautions.map((said) => element('p', { class: 'note' }, said)),
        ...comparison.pairs.flatMap((_, p) => pairParts(title, comparison, p)));
}

const meaning = () => section('meaning', 'How to read the bars',
    element('p', {}, 'Each bar is a 95 % interval of how much the first has more than the second: the scatter from rep to rep, set to set and day to day is in it, and the measurement’s. With several pairs the intervals are so wide that all of them hold together. The upright line is no difference; the shaded stretch about it is what is not worth naming, and every bar is drawn in multiples of that. A bar wholly on one side of the line tells which has more; a bar wholly inside the shade tells that there is no difference worth naming; anything else tells neither. An arrow: the bar goes on.'));

export function makeComparePage(main, about, read) {
    const data = read('compare');
    const parts = data.comparisons.map((comparison, i) => comparisonSection(data, comparison, i));
    main.replaceChildren(...[
        element('header', {}, element('h1', {}, `Compared by ${data.by}`, unseen(', the block')),
            element('p', { class: 'facts' }, [count(data.sets, 'set'), data.failed > 0 ? `${data.failed} not measured` : null].filter(Boolean).join(' · '))),
        about.index === null ? null : element('nav', { 'aria-label': 'Pages of this block', class: 'pages' }, element('a', { href: about.index }, 'The whole block')),
        ...parts, parts.length === 0 ? element('p', {}, 'No set was measured: there is nothing to compare.') : null,
        meaning(), caution()].filter(Boolean));
    document.documentElement.dataset.ready = 'yes';
}
