// The linked firmware: what goes into flash, and where its symbols lie (System V ABI, "Object Files").

import { readFileSync } from 'node:fs';

const LOADED = 1; // PT_LOAD
const SYMBOLS = 2; // SHT_SYMTAB

/** Reads a 32-bit little-endian ELF file. */
export function readElf(path) {
  const bytes = readFileSync(path);
  const half = (at) => bytes.readUInt16LE(at);
  const word = (at) => bytes.readUInt32LE(at);
  if (bytes.toString('latin1', 0, 4) !== '\x7fELF') throw new Error(`${path} is no ELF file`);

  const segments = [];
  for (let n = 0; n < half(44); n++) {
    const at = word(28) + n * half(42);
    const [offset, address, size] = [word(at + 4), word(at + 12), word(at + 16)];
    if (word(at) === LOADED && size > 0) segments.push({ address, bytes: bytes.subarray(offset, offset + size) });
  }

  const symbols = new Map();
  for (let n = 0; n < half(48); n++) {
    const at = word(32) + n * half(46);
    if (word(at + 4) !== SYMBOLS) continue;
    const [offset, size, names] = [word(at + 16), word(at + 20), word(word(32) + word(at + 24) * half(46) + 16)];
    for (let entry = offset; entry < offset + size; entry += 16) {
      const from = names + word(entry);
      symbols.set(bytes.toString('latin1', from, bytes.indexOf(0, from)), word(entry + 4));
    }
  }
  const symbol = (name) => {
    const address = symbols.get(name);
    if (address === undefined) throw new Error(`the firmware has no symbol ${name}`);
    return address;
  };
  /** Of a symbol that the compiler's names stand around. */
  const symbolLike = (part) => {
    const found = [...symbols.keys()].filter((name) => name.includes(part));
    if (found.length !== 1) throw new Error(`${found.length} symbols of the firmware are like ${part}`);
    return symbols.get(found[0]);
  };
  const sorted = [...symbols].filter(([name]) => !name.startsWith('$')).sort(([, a], [, b]) => a - b);
  /** The last symbol that is not above an address. */
  const nameAt = (address) => {
    let [low, high] = [0, sorted.length];
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if ((sorted[middle][1] & ~1) <= address) low = middle;
      else high = middle;
    }
    return sorted[low]?.[0] ?? '';
  };
  return { segments, symbol, symbolLike, nameAt };
}
