// Frames beside each other, for a test's message.

import { HEIGHT, WIDTH } from './display.mjs';

const lit = (frame, x, y) => (frame[(y * WIDTH + x) >> 3] & (0x80 >> (x & 7))) !== 0;

/** A frame as half blocks. */
export function text(frame) {
  const rows = [];
  for (let y = 0; y < HEIGHT; y += 2) {
    let row = '';
    for (let x = 0; x < WIDTH; x++) row += ' ▀▄█'[(lit(frame, x, y) ? 1 : 0) + (lit(frame, x, y + 1) ? 2 : 0)];
    rows.push(row.trimEnd());
  }
  return rows.join('\n');
}

/** Both, one above the other. */
export function both(got, wanted) {
  return `on the glass:\n${text(got)}\nwanted:\n${text(wanted)}`;
}

export const same = (a, b) => a.length === b.length && a.every((byte, at) => byte === b[at]);
