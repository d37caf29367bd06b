// SPDX-License-Identifier: GPL-3.0-or-later
//
// Colours a canvas needs, from the style sheet, and the reps' own: one ramp from the first rep to the last in which
// lightness alone tells the order, so that it holds for any eye and in print.

const LIGHT_RAMP = [[42, 143, 201], [91, 79, 160], [92, 16, 48]];
const DARK_RAMP = [[61, 143, 196], [183, 155, 224], [255, 217, 176]];

const dark = matchMedia('(prefers-color-scheme: dark)');
let printing = false;

export const isPrinting = () => printing;
export const isDark = () => dark.matches && !printing;
export const onThemeChange = (then) => dark.addEventListener('change', then);

export function setPrinting(on) {
    printing = on;
    document.documentElement.classList.toggle('printing', on);
}

export const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim();

export function repColour(index, count, alpha = 1) {
    const ramp = isDark() ? DARK_RAMP : LIGHT_RAMP;
    const place = count > 1 ? (index / (count - 1)) * (ramp.length - 1) : 0;
    const i = Math.min(Math.floor(place), ramp.length - 2);
    const part = place - i;
    const mixed = ramp[i].map((c, k) => Math.round(c + part * (ramp[i + 1][k] - c)));
    return `rgba(${mixed.join(',')},${alpha})`;
}
