// SPDX-License-Identifier: GPL-3.0-or-later
//
// The pages of a block: the index of all sets, and one lifter's.
import { element, section, unseen } from './dom.js';
import { figure, isKnown } from './figure.js';
import { loadWords, nameOf, saying } from './blockwords.js';
import { plainTable } from './tables.js';
import { makeTrend, pickTrend } from './trend.js';
import { capital, caution, count } from './words.js';

// Ids are letters, digits and '-': a link cannot lead out of its folder.
const SAFE = /^[A-Za-z0-9-]+$/;

const link = (href, text) => (href === null ? text : element('a', { href }, text));
const setLink = (about, id, text) => link(about.sets === null || !SAFE.test(id) ? null : `${about.sets}${id}.html`, text);
const lifterLink = (about, name) => link(about.lifters?.find((lifter) => lifter.name === name)?.href ?? null, nameOf(name));

const cell = (name, q, decimals) => element('span', { 'data-figure': name }, figure(q, decimals));
const big = (name, value, more) => element('div', {}, element('dt', {}, name), element('dd', {},
    element('span', { class: 'figure' }, element('span', { class: 'value' }, `${value}`)), more ? element('span', { class: 'more' }, more) : null));

// ---- the head ----

function daysOf(block) {
    const dates = block.sets.map((set) => set.date).filter(Boolean).sort();
    return dates.length === 0 ? null : dates[0] === dates[dates.length - 1] ? dates[0] : `${dates[0]} to ${dates[dates.length - 1]}`;
}

function bigNumbers(block) {
    const { counts } = block;
    const wanted = counts.target.under + counts.target.over + counts.target.cannot_tell;
    return element('dl', { class: 'big' },
        big(counts.measured === 1 ? 'set' : 'sets', counts.measured), big(counts.reps === 1 ? 'rep' : 'reps', counts.reps),
        wanted > 0 ? big('under the speed wanted', counts.target.under, `of ${wanted} with one${counts.target.cannot_tell > 0 ? `; ${counts.target.cannot_tell} cannot be told` : ''}`) : null,
        counts.failed > 0 ? big('not measured', counts.failed) : null,
        counts.waiting > 0 ? big('not reached', counts.waiting, 'the run was stopped') : null);
}

const links = (about, block, index) => element('nav', { 'aria-label': 'Pages of this block', class: 'pages' },
    ...[!index && about.index !== null ? element('a', { href: about.index }, 'The whole block') : null,
        about.compare !== null ? element('a', { href: about.compare }, `Compared by ${block.by}`) : null,
        ...(about.lifters ?? []).filter(({ name }) => index || name !== block.lifters[0])
            .map(({ name, href }) => element('a', { href }, nameOf(name)))].filter(Boolean));

// ---- tables ----

const unit = (head, of) => element('span', {}, head, ' ', element('span', { class: 'unit' }, of));
const SHORT = 20; // characters that stay on one line
const text = (words) => element('span', { class: words.length > SHORT ? 'name' : null }, words);
const linked = (name, to) => element('span', { class: name.length > SHORT ? 'name' : null }, to);

const VERDICTS = { under: 'under', over: 'over', cannot_tell: 'cannot tell', none: '' };

// withLifter: who, what lift and which setup, where that does not stand over the table.
function setRow(about, set, withLifter) {
    return [
        element('span', { 'data-set': set.id }, setLink(about, set.id, set.date ?? 'no date')),
        ...(withLifter ? [text(nameOf(set.lifter)), set.lift, text(set.setup)] : []),
        cell('load_lockout_kg', set.load_lockout_kg, 1),
        `${set.reps}${set.missed > 0 ? ` + ${set.missed} missed` : ''}`,
        cell('mean_velocity_m_s', set.mean_velocity_m_s, 3),
        cell('best_velocity_m_s', set.best_velocity_m_s, 3),
        cell('velocity_loss_pct', set.velocity_loss_pct, 1),
        cell('shake_mm', set.shake_mm, 2),
        set.target_m_s === null ? '' : `${set.target_m_s.toFixed(2)}, ${VERDICTS[set.target]}`,
    ];
}

function setTable(about, caption, sets, withLifter) {
    const wanted = sets.some((set) => set.target_m_s !== null);
    const rows = sets.map((set) => setRow(about, set, withLifter));
    return plainTable(caption, ['date', ...(withLifter ? ['lifter', 'lift', 'setup'] : []), unit('load', 'kg at lockout'), 'reps',
        unit('mean', 'm/s'), unit('best', 'm/s'), unit('loss', '%'), unit('shake', 'mm'), ...(wanted ? [unit('wanted', 'm/s')] : [])],
    wanted ? rows : rows.map((row) => row.slice(0, -1)), withLifter ? [1, 2, 3] : []);
}

const bestOf = (about, best, name, decimals) => (best === null ? '–'
    : element('span', {}, figure(best[name], decimals), element('span', { class: 'when' }, setLink(about, best.id, best.date ?? 'no date'))));

function seriesTable(about, block) {
    return plainTable('Each lifter’s lifts and setups', ['lifter', 'lift', 'setup', 'sets', 'load at lockout', unit('fastest rep', 'm/s'), unit('heaviest', 'kg')],
        block.series.map((one) => [linked(one.lifter, lifterLink(about, one.lifter)), one.lift, text(one.setup), `${one.sets}`, loadWords(one),
            bestOf(about, one.fastest, 'best_velocity_m_s', 3), bestOf(about, one.heaviest, 'load_kg', 1)]),
        [1, 2]);
}

// ---- what stands in the way ----

function targets(about, block) {
    const under = block.sets.filter((set) => set.target === 'under');
    const unsure = block.counts.target.cannot_tell;
    if (under.length + unsure + block.counts.target.over === 0) {
        return null;
    }
    return section('targets', 'Sets under the speed wanted',
        under.length === 0 ? element('p', {}, 'No set was surely under the speed wanted.')
            : setTable(about, 'Sets whose mean velocity lies under the speed wanted, beyond the ±', under, true),
        unsure > 0 ? element('p', { class: 'note' }, `Of ${count(unsure, 'more set')} it cannot be told: the speed wanted lies within the ±.`) : null);
}

function troubles(about, block) {
    const reserved = block.sets.filter((set) => set.reservations.length > 0);
    if (block.failed.length + reserved.length === 0) {
        return null;
    }
    const who = (set) => [set.date ?? 'no date', nameOf(set.lifter), set.lift, set.setup].filter(Boolean).join(', ');
    return section('troubles', 'Recordings to look at', element('ul', { class: 'findings' },
        ...block.failed.map((set) => element('li', { class: 'is-refusal' }, element('span', { class: 'tag' }, 'not measured'), ` ${who(set)}: ${set.text} (${set.log})`)),
        ...reserved.map((set) => element('li', { class: 'is-reservation' }, element('span', { class: 'tag' }, 'reservation'), ' ',
            setLink(about, set.id, who(set)), `: ${set.reservations.join('; ')}`))));
}

function comparisons(about, block) {
    const parts = block.comparisons.filter((one) => one.pairs.length > 0);
    if (parts.length === 0) {
        return null;
    }
    const title = (one) => capital([one.lift, block.by === 'setup' ? null : one.setup, block.by === 'lifter' ? null : one.lifter].filter(Boolean).join(', '));
    const pair = (of) => [
        element('h4', {}, `${nameOf(of.first)} and ${nameOf(of.second)}`),
        element('ul', {}, ...[of.loads_sentence, ...of.sentences].map((sentence) => element('li', {}, saying(sentence))),
            of.untold > 0 ? element('li', {}, `Nothing can be told of ${count(of.untold, 'other figure', of.sentences.length > 0 ? 'other figures' : 'figures')}.`) : null)];
    return section('differ', `What differs, by ${block.by}`, ...parts.flatMap((one) => [element('h3', {}, title(one)), ...one.pairs.flatMap(pair)]),
        about.compare === null ? null : element('p', {}, element('a', { href: about.compare }, 'All figures with their intervals')));
}

const meaning = () => section('meaning', 'What the ± means',
    element('p', {}, 'Each figure of a set stands with half of its 95 % interval, or as “low to high” where one side is much wider: it tells of the measurement alone. A trend’s interval holds how days differ too. A point is a day’s mean, at one load where a load is named; the line is drawn so that one odd day does not bend it, and dashed where no trend can be told. A one-repetition maximum is an estimate from a week’s sets, and never a load to try.'));

const trendPanels = (pairs) => element('div', { class: 'panels' }, ...pairs.map(([title, trend]) => makeTrend(title, trend, true)));

function end(main, parts) {
    main.replaceChildren(...parts.filter(Boolean), caution());
    document.documentElement.dataset.ready = 'yes';
}

export function makeBlockPage(main, about, read) {
    const block = read('block');
    const several = block.series.map((one) => [one, ...pickTrend(one.trends)]).flatMap(([one, ...trends]) => trends.map((trend) =>
        [[nameOf(one.lifter), one.lift, one.setup].filter(Boolean).join(', '), trend]));
    end(main, [
        element('header', {}, element('h1', {}, 'The block'), element('p', { class: 'facts' }, [daysOf(block), count(block.lifters.length, 'lifter')].filter(Boolean).join(' · '))),
        links(about, block, true), bigNumbers(block),
        block.series.length > 0 ? section('lifters', 'Lifters', seriesTable(about, block)) : null,
        several.length > 0 ? section('weeks', 'Over the weeks', trendPanels(several)) : null,
        comparisons(about, block), targets(about, block), troubles(about, block),
        block.sets.length > 0 ? section('sets', 'All sets', setTable(about, 'All sets, in the order of the sheet', block.sets, true)) : null,
        meaning()]);
}

function seriesSection(about, block, one, i) {
    const sets = block.sets.filter((set) => set.lift === one.lift && set.setup === one.setup);
    const drawn = one.trends.filter((trend) => trend.points.length > 1);
    const best = one.fastest;
    const heavy = one.heaviest;
    return section(`series-${i + 1}`, capital([one.lift, one.setup].filter(Boolean).join(', ')),
        element('ul', { class: 'bests' },
            best === null ? null : element('li', {}, 'Fastest rep: ', figure(best.best_velocity_m_s, 3), ' m/s',
                isKnown(best.load_kg) ? [' at ', figure(best.load_kg, 1), ' kg at lockout'] : null, ', ', setLink(about, best.id, best.date ?? 'no date')),
            heavy === null ? null : element('li', {}, 'Heaviest: ', figure(heavy.load_kg, 1), ' kg, mean over the way up, ', setLink(about, heavy.id, heavy.date ?? 'no date')),
            one.undated > 0 ? element('li', {}, `${count(one.undated, 'set')} without a date: in no trend.`) : null),
        drawn.length > 0 ? element('div', { class: 'panels' }, ...drawn.map((trend) => makeTrend([one.lift, one.setup].filter(Boolean).join(', '), trend, false))) : element('p', { class: 'note' }, 'One day only, or none with a date: no trend is drawn.'),
        setTable(about, `Sets of ${[one.lift, one.setup].filter(Boolean).join(', ')}`, sets, false));
}

export function makeLifterPage(main, about, read) {
    const block = read('block');
    end(main, [
        element('header', {}, element('h1', {}, nameOf(block.lifters[0] ?? ''), unseen(', the block')),
            element('p', { class: 'facts' }, [daysOf(block), block.series.length > 0 ? count(block.series.length, 'lift and setup', 'lifts and setups') : 'nothing measured'].filter(Boolean).join(' · '))),
        links(about, block, false), bigNumbers(block),
        ...block.series.map((one, i) => seriesSection(about, block, one, i)),
        comparisons(about, block), targets(about, block), troubles(about, block), meaning()]);
}
