// SPDX-License-Identifier: GPL-3.0-or-later
//
// A chart: the chart library in this page's clothes, usable by mouse, touch and keyboard.
import uPlot from 'uplot';
import { element } from './dom.js';
import { colour, isPrinting, onThemeChange } from './theme.js';

const FONT = '12px system-ui, -apple-system, "Segoe UI", Roboto, "Liberation Sans", sans-serif';
const AXIS_PX = 46;
const charts = new Set();

// A number of an axis, with a true minus sign.
export const plain = (value) => `${Number(value.toFixed(6))}`.replace('-', '−');

let told = false;

// The moment from which the page can be used, for whoever measures it.
function tellFirst() {
    if (!told) {
        told = true;
        performance.mark('barplumb-first-chart');
    }
}

export function redrawAll() {
    charts.forEach((chart) => chart.plot.redraw(false, true));
}

// Every chart as wide as its place; heights for paper are the caller's.
export function fitAll(heightOf = (chart) => chart.height) {
    charts.forEach((chart) => {
        const width = Math.floor(chart.place.clientWidth);
        if (width > 0) {
            chart.plot.setSize({ width, height: heightOf(chart) });
        }
    });
}

onThemeChange(redrawAll);

const axis = (options) => ({
    stroke: () => colour('soft'),
    font: FONT,
    grid: { stroke: () => colour('line'), width: 1 },
    ticks: { show: false },
    ...options,
});

// A line of one record with the band of its interval. style: { stroke(), fill(), width(), label }.
export function lines(records) {
    const data = [];
    const series = [];
    const bands = [];
    for (const { record, style, scale } of records) {
        const at = series.length + 1;
        data.push(record.value, record.low, record.high);
        series.push({ label: style.label, stroke: style.stroke, pxAlign: 0, width: style.width ?? 1.75, scale, dash: style.dash,
            points: style.points ?? { show: false } });
        series.push({ label: '', stroke: null, width: 0, pxAlign: 0, scale, points: { show: false } });
        series.push({ label: '', stroke: null, width: 0, pxAlign: 0, scale, points: { show: false } });
        bands.push({ series: [at + 2, at + 1], fill: style.fill });
    }
    return { data, series, bands };
}

// options: { label (what the chart shows, for ears), height, x (numbers), data, series, bands, xAxis, yAxis, scales,
// under(u, ctx) drawn below the lines, over(u, ctx) above, cursor, onMove(index or null), readout(index) }
export function makeChart(options) {
    const place = element('div', { class: 'chart', tabindex: '0', role: 'group', 'aria-label': options.label,
        'aria-roledescription': 'chart' });
    const chart = { place, height: options.height, kind: options.kind ?? '' };
    place.dataset.chart = options.name;
    chart.make = () => {
        const clipped = (draw) => (u) => {
            const { left, top, width, height } = u.bbox;
            u.ctx.save();
            u.ctx.beginPath();
            u.ctx.rect(left, top, width, height);
            u.ctx.clip();
            draw(u, u.ctx);
            u.ctx.restore();
        };
        chart.plot = new uPlot({
            width: Math.max(Math.floor(place.clientWidth), 120),
            height: options.height,
            legend: { show: false },
            padding: options.padding ?? [8, 10, 0, 0],
            cursor: { y: false, points: { size: 7 }, ...options.cursor },
            scales: { x: { time: false }, ...options.scales },
            series: [{}, ...options.series],
            bands: options.bands,
            axes: [
                axis({ size: 30, gap: 4, ...options.xAxis }),
                axis({ size: AXIS_PX, gap: 4, space: () => (isPrinting() ? 15 : 28), values: (u, at) => at.map(plain), ...options.yAxis }),
            ],
            hooks: {
                drawClear: options.under ? [clipped(options.under)] : [],
                draw: [() => tellFirst(), ...(options.over ? [clipped(options.over)] : [])],
                setCursor: [(u) => options.onMove?.(u.cursor.idx ?? null)],
                setScale: options.onScale ? [options.onScale] : [],
            },
        }, [options.x, ...options.data], place);
        charts.add(chart);
        followFinger(chart.plot);
        place.addEventListener('keydown', (event) => onKey(event, chart, options));
        new ResizeObserver(() => fit(chart)).observe(place);
    };
    return chart;
}

function fit(chart) {
    const width = Math.floor(chart.place.clientWidth);
    if (width > 0 && width !== chart.plot.width && !document.documentElement.classList.contains('printing')) {
        chart.plot.setSize({ width, height: chart.height });
    }
}

export function zoom(plot, factor) {
    const { min, max } = plot.scales.x;
    const x = plot.data[0];
    const middle = plot.cursor.idx === null || plot.cursor.idx === undefined ? (min + max) / 2 : x[plot.cursor.idx];
    const from = Math.max(middle - (middle - min) * factor, x[0]);
    const to = Math.min(middle + (max - middle) * factor, x[x.length - 1]);
    if (to - from > (x[x.length - 1] - x[0]) / 500) {
        plot.setScale('x', { min: from, max: to });
    }
}

export function whole(plot) {
    const x = plot.data[0];
    plot.setScale('x', { min: x[0], max: x[x.length - 1] });
}

function move(plot, step) {
    const x = plot.data[0];
    const { min, max } = plot.scales.x;
    const now = plot.cursor.idx ?? x.findIndex((value) => value >= min) - 1;
    let idx = Math.min(Math.max(now + step, 0), x.length - 1);
    idx = x[idx] < min ? x.findIndex((value) => value >= min) : idx;
    while (x[idx] > max && idx > 0) {
        idx--;
    }
    const to = plot.valToPos(x[idx], 'x');
    const stands = plot.scales.x.ori === 1;
    plot.setCursor(stands ? { left: plot.over.clientWidth / 2, top: to } : { left: to, top: plot.over.clientHeight / 2 },
        true, true);
    return idx;
}

// A finger that moves along a chart reads it; one that moves up or down scrolls the page.
function followFinger(plot) {
    plot.over.addEventListener('pointermove', (event) => {
        if (event.pointerType === 'touch') {
            const box = plot.over.getBoundingClientRect();
            plot.setCursor({ left: event.clientX - box.left, top: event.clientY - box.top }, true, true);
        }
    });
}

function onKey(event, chart, options) {
    const step = event.shiftKey ? 10 : 1;
    const acts = {
        ArrowRight: () => move(chart.plot, step),
        ArrowUp: () => move(chart.plot, step),
        ArrowLeft: () => move(chart.plot, -step),
        ArrowDown: () => move(chart.plot, -step),
        '+': () => zoom(chart.plot, 0.5),
        '=': () => zoom(chart.plot, 0.5),
        '-': () => zoom(chart.plot, 2),
        0: () => whole(chart.plot),
        Escape: () => whole(chart.plot),
    };
    const act = acts[event.key];
    if (!act || event.ctrlKey || event.metaKey || event.altKey) {
        return;
    }
    event.preventDefault();
    const idx = act();
    if (typeof idx === 'number') {
        options.onSpeak?.(idx);
    }
}

// ---- what is drawn under and over the lines ----

export function shade(u, ctx, from, to, fill) {
    const left = u.valToPos(Math.max(from, u.scales.x.min), 'x', true);
    const right = u.valToPos(Math.min(to, u.scales.x.max), 'x', true);
    if (right > left) {
        ctx.fillStyle = fill;
        ctx.fillRect(left, u.bbox.top, right - left, u.bbox.height);
    }
}

export function upright(u, ctx, x, stroke, dash = []) {
    const at = Math.round(u.valToPos(x, 'x', true)) + 0.5;
    ctx.strokeStyle = stroke;
    ctx.lineWidth = uPlot.pxRatio;
    ctx.setLineDash(dash.map((d) => d * uPlot.pxRatio));
    ctx.beginPath();
    if (u.scales.x.ori === 1) {
        ctx.moveTo(u.bbox.left, at);
        ctx.lineTo(u.bbox.left + u.bbox.width, at);
    } else {
        ctx.moveTo(at, u.bbox.top);
        ctx.lineTo(at, u.bbox.top + u.bbox.height);
    }
    ctx.stroke();
    ctx.setLineDash([]);
}

export function write(u, ctx, text, left, top, fill, align = 'center') {
    ctx.fillStyle = fill;
    ctx.font = FONT.replace('12px', `${12 * uPlot.pxRatio}px`);
    ctx.textAlign = align;
    ctx.textBaseline = 'top';
    ctx.fillText(text, left, top);
}

export const px = (value) => value * uPlot.pxRatio;
