// SPDX-License-Identifier: GPL-3.0-or-later
//
// The page of one set: what a coach wants first comes first.
import { makeFrontView, makeSpeedByHeight } from './byheight.js';
import { fitAll, redrawAll } from './chart.js';
import { element, section } from './dom.js';
import { figure, inWords, isKnown } from './figure.js';
import { LOADS_NOTE, makeLoads } from './loads.js';
import { makeOverTime } from './overtime.js';
import { waysUp } from './paths.js';
import { makeSpectrum } from './spectrum.js';
import { allTables, firstTable, folded, rangeNames } from './tables.js';
import { onThemeChange, repColour, setPrinting } from './theme.js';
import { capital, caution, count, frequency, sentences, shakeWord } from './words.js';

const PRINT_PX = { time: 84, climb: 150, other: 132 };

function heading(set, about) {
    const { log } = set;
    const name = log.path === '-' ? 'standard input' : log.path.split('/').pop();
    const facts = [about.lifter, name, set.set.rig ? `rig: ${set.set.rig}` : null, `${Number(log.rate_hz.toFixed(0))} Hz, ${log.gyroscope ? 'with' : 'no'} gyroscope`,
        `${log.duration_s.toFixed(0)} s`].filter((fact) => fact);
    return element('header', {},
        element('h1', {}, capital(set.set.lift), set.set.setup ? `, ${set.set.setup}` : ''),
        element('p', { class: 'facts' }, facts.join(' · ')),
        set.set.lift_given ? null : element('p', { class: 'note' }, 'No lift was named: this one is assumed.'));
}

function big(name, q, decimals, unit, more) {
    if (!isKnown(q)) {
        return null;
    }
    return element('div', {}, element('dt', {}, name), element('dd', { 'data-figure': `set.${more.name}` }, figure(q, decimals), ' ',
        element('span', { class: 'unit' }, unit), more.text ? element('span', { class: 'more' }, more.text) : null));
}

function bigNumbers(set) {
    const of = set.set;
    const main = frequency(set);
    return element('dl', { class: 'big' },
        element('div', {}, element('dt', {}, of.reps === 1 ? 'rep' : 'reps'), element('dd', {}, element('span', { class: 'figure' },
            element('span', { class: 'value' }, `${of.reps}`)), of.missed > 0 ? element('span', { class: 'more' }, `and ${of.missed} missed`) : null)),
        big('mean velocity', of.mean_velocity_m_s, 3, 'm/s', { name: 'mean_velocity_m_s' }),
        big('best rep', of.best_velocity_m_s, 3, 'm/s', { name: 'best_velocity_m_s' }),
        big('velocity loss', of.velocity_loss_pct, 1, '%', { name: 'velocity_loss_pct' }),
        big(shakeWord(set), of.shake_mm, 2, 'mm', { name: 'shake_mm', text: main === null ? '' : `mostly at ${inWords(main, 1, 'Hz')}` }),
        big(of.load_varies ? 'load at the turnaround' : 'load', of.load_bottom_kg, 1, 'kg',
            { name: 'load_bottom_kg', text: of.load_varies ? `at lockout ${inWords(of.load_lockout_kg, 1, 'kg')}` : '' }));
}

function findings(set) {
    const { findings: list, findings_dropped: dropped } = set.log;
    if (list.length === 0) {
        return null;
    }
    const rows = list.map((finding) => element('li', { class: `is-${finding.severity}` },
        element('span', { class: 'tag' }, finding.severity), ' ',
        finding.at_s === null ? null : `at ${finding.at_s.toFixed(2)} s: `, finding.text));
    return section('log', 'What was noticed about the log', element('ul', { class: 'findings' }, ...rows),
        dropped > 0 ? element('p', {}, `and ${count(dropped, 'more', 'more')}`) : null);
}

// The reps as a choice of one or all: the charts follow. Its colours are the charts' legend.
function chooser(set, onChoose) {
    const swatches = [];
    const option = (text, rep, checked) => {
        const input = element('input', { type: 'radio', name: 'rep', value: rep === null ? 'all' : `${rep.index}`, checked });
        input.addEventListener('change', () => onChoose(rep));
        const swatch = rep === null ? null : element('span', { class: 'swatch', 'aria-hidden': 'true' });
        if (swatch) {
            swatches.push([swatch, rep]);
        }
        return element('label', {}, input, element('span', { class: 'chip' }, swatch, text));
    };
    const paint = () => swatches.forEach(([swatch, rep]) => {
        swatch.style.background = repColour(rep.index - 1, set.reps.length);
    });
    const node = element('fieldset', { class: 'chooser' }, element('legend', {}, 'Rep'), option('all', null, true),
        ...set.reps.map((rep) => option(rep.missed ? `${rep.index} missed` : `${rep.index}`, rep, false)));
    paint();
    onThemeChange(paint);
    return { paint, node };
}

function meaning(set) {
    const shake = set.log.shake_apparent
        ? 'There was no gyroscope: the bar’s tilt cannot be told from its shake, and every shake figure is apparent.'
        : 'Shake is movement along the bar between 0.7 and 8 Hz, as root mean square over the drive.';
    const parts = rangeNames(set);
    return section('meaning', 'What the ± means',
        element('p', {}, 'Each figure stands with half of its 95 % interval, or as “low to high” where one side is much wider: of a hundred such intervals about 95 hold the true value. It comes from this log: the sensor’s noise, bias and gain, tilt, where the phone sat on the bar, where a phase begins and ends. It tells of the measurement alone, not of how much a lifter differs from day to day. In the charts the pale band is the same, for each moment by itself; where no band is drawn, none was estimated. A dash stands for what cannot be known.'),
        element('p', {}, `A velocity is the rise of the drive, from where the bar leaves the bottom at over 0.04 m/s, divided by its time${
            parts.length === 3 ? `; the drive is cut by height at thirds: ${parts[0]}, ${parts[1]}, ${parts[2]}` : ''}. ${shake} Clatter is knocks and rattle above 15 Hz.`));
}

// On paper: light colours, fixed sizes.
function preparePaper(paint) {
    const turn = (on) => {
        setPrinting(on);
        fitAll((chart) => (on ? PRINT_PX[chart.kind] ?? PRINT_PX.other : chart.height));
        redrawAll();
        paint();
    };
    addEventListener('beforeprint', () => turn(true));
    addEventListener('afterprint', () => turn(false));
}

// What is seen by height, frequency and range; null when there is nothing.
function makeByHeight(set, traces, ways, choice) {
    const loads = makeLoads(set, choice);
    const panels = [
        ways.length > 0 ? makeSpeedByHeight(ways, choice, set.reps.length) : null,
        ways.length > 0 ? makeFrontView(ways, choice, set.reps.length, set.log.shake_apparent) : null,
        makeSpectrum(set, traces),
        ...loads,
    ].filter((panel) => panel !== null);
    return { charts: panels.map((panel) => panel.chart),
        node: section('height', 'By height, frequency and range', element('div', { class: 'panels' }, ...panels.map((panel) => panel.node)),
            loads.length > 0 ? element('p', { class: 'note' }, LOADS_NOTE) : null) };
}

export function makeSetPage(main, about, read) {
    const set = read('set');
    const traces = read('traces');
    const choice = { rep: null };
    const ways = waysUp(set, traces);
    const time = traces && makeOverTime(set, traces, ways);
    const onChoose = (rep) => {
        choice.rep = rep;
        time.choose(rep);
        redrawAll();
        for (const row of main.querySelectorAll('tr[data-rep]')) {
            row.classList.toggle('chosen', rep !== null && row.dataset.rep === `${rep.index}`);
        }
    };
    const choosing = traces && chooser(set, onChoose);
    const drawn = traces && element('div', { class: 'charts' }, choosing.node,
        section('time', 'Over time', element('p', { class: 'note' }, 'Shaded: the drives, numbered, cut into their ranges by the dotted lines. Pale bands: the 95 % interval of each moment.'), time.node));
    main.replaceChildren(...[heading(set, about), about.index ? element('nav', { 'aria-label': 'Pages of this block', class: 'pages' },
        element('a', { href: about.index }, 'The whole block')) : null, bigNumbers(set),
        section('reps', 'Rep by rep', firstTable(set), folded('Every figure of each rep', () => allTables(set))),
        section('words', 'In words', element('ul', {}, ...sentences(set).map((sentence) => element('li', {}, sentence)))),
        findings(set), drawn, meaning(set), caution()].filter(Boolean));
    const finish = () => {
        if (drawn) {
            const byHeight = makeByHeight(set, traces, ways, choice);
            drawn.append(byHeight.node);
            [...time.charts.slice(1), ...byHeight.charts].forEach((chart) => chart.make());
            preparePaper(choosing.paint);
        }
        document.documentElement.dataset.ready = 'yes';
    };
    time?.charts[0]?.make();
    setTimeout(finish); // what is first seen is drawn first
}
