// SPDX-License-Identifier: GPL-3.0-or-later
//
// Elements, made so that no text of a log can become markup: children are nodes or text, never HTML.

function fill(made, attributes, children) {
    for (const [name, value] of Object.entries(attributes)) {
        if (value !== null && value !== undefined && value !== false) {
            made.setAttribute(name, value === true ? '' : value);
        }
    }
    made.append(...children.flat().filter((child) => child !== null && child !== undefined && child !== false));
    return made;
}

export const element = (name, attributes = {}, ...children) =>
    fill(document.createElement(name), attributes, children);

export const drawing = (name, attributes = {}, ...children) =>
    fill(document.createElementNS('http://www.w3.org/2000/svg', name), attributes, children);

// Text for ears alone.
export const unseen = (text) => element('span', { class: 'unseen' }, text);

// A section with its heading.
export function section(id, title, ...children) {
    return element('section', { id, 'aria-labelledby': `${id}-title` },
        element('h2', { id: `${id}-title` }, title), ...children);
}
