// SPDX-License-Identifier: GPL-3.0-or-later
//
// Where every page begins: reads what the page is about and hands its data to the maker of that kind of page. A page
// may hold this script or share one file of it with others; it behaves the same.
import { makeBlockPage, makeLifterPage } from './block.js';
import { makeComparePage } from './compare.js';
import { element } from './dom.js';
import { makeSetPage } from './set.js';

const kinds = new Map([['set', makeSetPage], ['compare', makeComparePage], ['block', makeBlockPage], ['lifter', makeLifterPage]]);

const read = (name) => JSON.parse(document.getElementById(`barplumb-${name}`)?.textContent ?? 'null');

const main = document.getElementById('page');
const about = read('about');
if (kinds.has(about?.kind)) {
    kinds.get(about.kind)(main, about, read);
} else {
    main.append(element('p', {}, 'This page and its script are not of one version of barplumb.'));
}
