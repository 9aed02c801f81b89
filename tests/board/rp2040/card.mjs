// The card: high capacity, in SPI mode, on an image file (SD Physical Layer Specification, 7 "SPI mode").
//
// It wants its clocks and CMD0 first, says that it is idle until ACMD41 has come for a while, checks the checksums of commands and
// data once CMD59 has switched them on (CMD0's and CMD8's always), answers "illegal command" to what it does not know, and is busy for a time
// after each block written. A block that is worn out gets an error in place of its data (7.3.3.3). A card that is out leaves the line
// pulled up. Not modelled: speed classes, time to find a block, several
// blocks written at once, write protection, a card that wears out.

import { closeSync, fstatSync, openSync, readSync, writeSync } from 'node:fs';

const BLOCK = 512;
const IDLE = 0x01;
const ILLEGAL = 0x04;
const BAD_CHECKSUM = 0x08;
const TOKEN = 0xfe;
/** The card's own correction failed. */
const UNREADABLE = 0x04;
const TAKEN = 0x05;
const REFUSED_CHECKSUM = 0x0b;
const STARTS_NS = 5e6;
const BUSY_NS = 3e6;

/** CRC16 of data (7.2.3; polynomial 0x1021). */
function crc16(bytes) {
  let sum = 0;
  for (const byte of bytes) {
    sum ^= byte << 8;
    for (let bit = 0; bit < 8; bit++) sum = ((sum << 1) ^ (sum & 0x8000 ? 0x1021 : 0)) & 0xffff;
  }
  return sum;
}

/** CRC7 of a command or of a register, with its end bit (7.2.3; polynomial 0x09). */
function crc7(bytes) {
  let sum = 0;
  for (const byte of bytes) {
    for (let bit = 7; bit >= 0; bit--) {
      const out = ((sum >> 6) ^ (byte >> bit)) & 1;
      sum = ((sum << 1) & 0x7f) ^ (out ? 0x09 : 0);
    }
  }
  return (sum << 1) | 1;
}

export class CardSlot {
  constructor(now) {
    this.now = now; // nanoseconds
    this.file = null;
    this.counts = { reads: 0, writes: 0, bytes: 0 };
    /** The block that is worn out. */
    this.worn = null;
    this.#forget();
  }

  insert(path) {
    this.file = openSync(path, 'r+');
    this.blocks = fstatSync(this.file).size / BLOCK;
    this.repower();
  }

  /** Its power comes, or comes back. */
  repower() {
    Object.assign(this, { state: 'asleep', checks: false, readyAt: Infinity });
    this.#forget();
  }

  pull() {
    if (this.file !== null) closeSync(this.file);
    this.file = null;
  }

  #forget() {
    Object.assign(this, { out: [], frame: [], streamAt: null, writeAt: null, taken: null, application: false });
    this.busyUntil = 0;
  }

  /** Connects it to SPI and to its select line, low = chosen. */
  wire(spi, select) {
    let chosen = false;
    select.addListener((level) => {
      chosen = level === 0;
      if (!chosen) this.frame = [];
    });
    spi.onTransmit = (byte) => spi.completeTransmit(chosen && this.file !== null ? this.#exchange(byte) : 0xff);
  }

  #exchange(byte) {
    this.counts.bytes += 1;
    if (this.taken !== null && this.out.length === 0) return this.#takeData(byte);
    if (this.out.length === 0 && this.now() < this.busyUntil) return 0x00;
    if (this.out.length === 0 && this.streamAt !== null) this.#sendBlock(this.streamAt++);
    const answer = this.out.length ? this.out.shift() : 0xff;
    if (this.frame.length || (byte & 0xc0) === 0x40) this.frame.push(byte);
    if (this.frame.length === 6) {
      const frame = this.frame;
      this.frame = [];
      this.#command(frame);
    }
    return answer;
  }

  #takeData(byte) {
    if (this.taken.length === 0 && byte !== TOKEN) return 0xff;
    this.taken.push(byte);
    if (this.taken.length < 1 + BLOCK + 2) return 0xff;
    const data = Uint8Array.from(this.taken.slice(1, 1 + BLOCK));
    const [high, low] = this.taken.slice(1 + BLOCK);
    this.taken = null;
    if (this.checks && crc16(data) !== ((high << 8) | low)) {
      this.out.push(REFUSED_CHECKSUM);
      return 0xff;
    }
    writeSync(this.file, data, 0, BLOCK, this.writeAt * BLOCK);
    this.counts.writes += 1;
    this.out.push(TAKEN);
    this.busyUntil = this.now() + BUSY_NS;
    return 0xff;
  }

  #sendData(bytes) {
    const sum = crc16(bytes);
    this.out.push(0xff, TOKEN, ...bytes, sum >> 8, sum & 0xff);
  }

  #sendBlock(number) {
    if (number === this.worn) {
      this.out.push(0xff, UNREADABLE);
      this.streamAt = null;
      return;
    }
    const block = new Uint8Array(BLOCK);
    readSync(this.file, block, 0, BLOCK, number * BLOCK);
    this.counts.reads += 1;
    this.#sendData(block);
  }

  /** The register of its size (5.3.3 "CSD register, version 2.0"). */
  #size() {
    const csd = new Uint8Array(16);
    csd.set([0x40, 0x0e, 0x00, 0x32, 0x5b, 0x59, 0x00]);
    const units = this.blocks / 1024 - 1;
    csd.set([(units >> 16) & 0x3f, (units >> 8) & 0xff, units & 0xff, 0x7f, 0x80, 0x0a, 0x40], 7);
    csd[15] = crc7(csd.subarray(0, 15));
    return csd;
  }

  #command(frame) {
    const [number, sum] = [frame[0] & 0x3f, frame[5]];
    const argument = ((frame[1] << 24) | (frame[2] << 16) | (frame[3] << 8) | frame[4]) >>> 0;
    const application = this.application;
    this.application = false;
    if (this.state === 'asleep' && number !== 0) return;
    this.out = [0xff]; // the time to its answer: one byte
    if (number === 0) Object.assign(this, { state: 'idle', checks: false, streamAt: null, taken: null, readyAt: Infinity });
    const idle = this.state === 'ready' ? 0 : IDLE;
    if ((this.checks || number === 0 || number === 8) && sum !== crc7(frame.slice(0, 5))) {
      this.out.push(idle | BAD_CHECKSUM);
      return;
    }
    if (this.state === 'idle' && ![0, 8, 41, 55, 58, 59].includes(number)) {
      this.out.push(IDLE | ILLEGAL);
      return;
    }
    switch (application ? `A${number}` : number) {
      case 0:
        this.out.push(IDLE);
        break;
      case 8:
        this.out.push(idle, 0, 0, (argument >> 8) & 0x0f, argument & 0xff);
        break;
      case 9:
        this.out.push(idle);
        this.#sendData(this.#size());
        break;
      case 12:
        this.streamAt = null;
        this.out.push(0xff, idle);
        break;
      case 13:
        this.out.push(idle, 0);
        break;
      case 17:
      case 18:
        this.out.push(idle);
        if (number === 17) this.#sendBlock(argument);
        else this.streamAt = argument;
        break;
      case 24:
        this.out.push(idle);
        Object.assign(this, { writeAt: argument, taken: [] });
        break;
      case 55:
        this.application = true;
        this.out.push(idle);
        break;
      case 58:
        this.out.push(idle, idle ? 0x00 : 0xc0, 0xff, 0x80, 0x00);
        break;
      case 59:
        this.checks = (argument & 1) !== 0;
        this.out.push(idle);
        break;
      case 'A41':
        if (this.readyAt === Infinity) this.readyAt = this.now() + STARTS_NS;
        if (this.now() >= this.readyAt) this.state = 'ready';
        this.out.push(this.state === 'ready' ? 0 : IDLE);
        break;
      default:
        this.out.push(idle | ILLEGAL);
    }
  }
}
