// The lines of the day book, each with its sum (shared/src/daybook/mod.rs): the CRC-32 of all before its eight digits.

import assert from 'node:assert/strict';

/** CRC-32 (ISO-HDLC: reflected, polynomial 0xEDB88320). */
export function crc32(bytes) {
  let sum = 0xffff_ffff;
  for (const byte of bytes) {
    sum ^= byte;
    for (let bit = 0; bit < 8; bit++) sum = (sum >>> 1) ^ (sum & 1 ? 0xedb8_8320 : 0);
  }
  return ~sum >>> 0;
}

/** Fails unless the line ends with the sum of what stands before it; `end` is what stands behind it. */
function summed(line, end) {
  assert.ok(line.endsWith(end), line);
  const [text, sum] = [line.slice(0, -8 - end.length), line.slice(-8 - end.length, line.length - end.length)];
  assert.equal(sum, crc32(Buffer.from(text)).toString(16).toUpperCase().padStart(8, '0'), line);
}

/** The rows, column → cell. The cells of these tests hold no comma. */
export function rows(text) {
  const [header, ...lines] = text.split('\r\n').slice(0, -1);
  const columns = header.split(',');
  return lines.map((line) => {
    summed(line, '');
    return Object.fromEntries(line.split(',').map((cell, at) => [columns[at], cell]));
  });
}

/** The events. */
export function events(text) {
  return text
    .split('\n')
    .slice(0, -1)
    .map((line) => {
      summed(line, '"}');
      return JSON.parse(line);
    });
}
