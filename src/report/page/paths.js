// SPDX-License-Identifier: GPL-3.0-or-later
//
// From the set's figures and its traces: each rep's way up, by height, ready to be drawn. A path is
// { pct[], speed: {value, low, high}, shake: {value, low, high} }, on one grid of heights for all reps.

const GRID_PCT = 1;
const grid = Array.from({ length: 100 / GRID_PCT + 1 }, (_, i) => i * GRID_PCT);

// The place of the last time at or before at; -1 before the first.
function placeOf(times, at) {
    let low = -1;
    let high = times.length;
    while (high - low > 1) {
        const middle = (low + high) >> 1;
        if (times[middle] <= at) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return low;
}

// A list of numbers over time, at one time, between its points; null where it is not known or does not reach.
export function at(times, list, time) {
    const i = placeOf(times, time);
    if (time === null || i < 0 || list[i] === null || (i + 1 >= times.length && time > times[i])) {
        return null;
    }
    if (i + 1 >= times.length || times[i] === time) {
        return list[i];
    }
    const next = list[i + 1];
    return next === null ? null : list[i] + ((time - times[i]) / (times[i + 1] - times[i])) * (next - list[i]);
}

export const recordAt = (times, record, time) => ({
    value: at(times, record.value, time), low: at(times, record.low, time), high: at(times, record.high, time),
});

// When the bar first passed each height of the grid, between drive's start and end.
function passages(traces, rep) {
    const times = traces.time_s;
    const height = traces.height_m.value;
    const points = [[rep.drive_start_s, at(times, height, rep.drive_start_s)]];
    for (let i = placeOf(times, rep.drive_start_s) + 1; i < times.length && times[i] < rep.drive_end_s; i++) {
        points.push([times[i], height[i]]);
    }
    points.push([rep.drive_end_s, at(times, height, rep.drive_end_s)]);
    const bottom = points[0][1];
    const rise = points[points.length - 1][1] - bottom;
    if (bottom === null || !(rise > 0)) {
        return null;
    }
    let i = 0;
    return grid.map((pct) => {
        const wanted = bottom + (rise * pct) / 100;
        while (i + 1 < points.length && points[i + 1][1] < wanted) {
            i++;
        }
        const [t0, h0] = points[i];
        const [t1, h1] = points[Math.min(i + 1, points.length - 1)];
        return h1 > h0 ? t0 + Math.min(Math.max((wanted - h0) / (h1 - h0), 0), 1) * (t1 - t0) : t1;
    });
}

const along = (times, record, moments) => {
    const points = moments.map((moment) => recordAt(times, record, moment));
    return { value: points.map((p) => p.value), low: points.map((p) => p.low), high: points.map((p) => p.high) };
};

// The ways up of the reps that have one, in order: { rep, pct, time, speed, shake, cuts }. cuts: when the bar passed
// from one range into the next.
export function waysUp(set, traces) {
    if (traces === null) {
        return [];
    }
    return set.reps.filter((rep) => !rep.missed && rep.drive_start_s !== null && rep.drive_end_s !== null)
        .map((rep) => ({ rep, time: passages(traces, rep) }))
        .filter(({ time }) => time !== null)
        .map(({ rep, time }) => ({
            rep,
            pct: grid,
            time,
            speed: along(traces.time_s, traces.speed_m_s, time),
            shake: along(traces.time_s, traces.shake_mm, time),
            cuts: rep.ranges.slice(1).map((range) => at(grid, time, range.from_pct)),
        }));
}

// The lowest turnaround: where the page's heights begin.
export function lowest(set, traces) {
    const bottoms = set.reps.map((rep) => at(traces.time_s, traces.height_m.value, rep.turnaround_s))
        .filter((height) => height !== null);
    return bottoms.length > 0 ? Math.min(...bottoms) : 0;
}

// A record times scale, less a base.
export function rescaled(record, scale, base = 0) {
    const change = (list) => list.map((x) => (x === null ? null : (x - base) * scale));
    return { value: change(record.value), low: change(record.low), high: change(record.high) };
}

export const isThere = (record) => record.value.some((x) => x !== null);
