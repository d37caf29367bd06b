// SPDX-License-Identifier: GPL-3.0-or-later
//
// Words the pages of a block share.
import { capital } from './words.js';

export const nameOf = (name) => (name === '' || name === null || name === undefined ? 'unnamed' : name);

// A sentence of the library with a capital, a full stop and true minus signs.
export const saying = (sentence) => `${capital(sentence).replace(/(^|[\s(])-(?=\d)/g, '$1−')}${sentence.endsWith('.') ? '' : '.'}`;

// "82.5 kg", "60.0 to 80.0 kg", "–"
export function loadWords({ load_low_kg: low, load_high_kg: high }) {
    if (low === null || high === null) {
        return '–';
    }
    return high - low < 0.1 ? `${high.toFixed(1)} kg` : `${low.toFixed(1)} to ${high.toFixed(1)} kg`;
}
