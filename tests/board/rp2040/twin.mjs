// The same core on the desktop (tests/src/bin/device-twin.rs), driven beside the board: what its display must show.
//
// Answers of some questions stand in an order that goes by sixteenths of a second of the device's time. A board's work takes
// time, a desktop's none, so there is a twin for each order; those that the screen proves wrong are dropped.

import { spawn } from 'node:child_process';
import { createInterface } from 'node:readline';

/** Lists of two and of three answers: after six orders they repeat. */
const ORDERS = 6;
const ORDER_MS = 64;

class Twin {
  constructor(program, offset) {
    this.offset = offset;
    this.process = spawn(program, { stdio: ['pipe', 'pipe', 'inherit'] });
    this.lines = createInterface({ input: this.process.stdout })[Symbol.asyncIterator]();
  }

  async ask(line) {
    this.process.stdin.write(`${line}\n`);
    const { value, done } = await this.lines.next();
    if (done) throw new Error(`the twin ended at: ${line}`);
    this.said = JSON.parse(value);
    this.said.frame = Uint8Array.from(Buffer.from(this.said.frame, 'hex'));
    return this.said;
  }

  end() {
    this.process.stdin.end();
  }
}

export class Twins {
  constructor(program) {
    this.all = Array.from({ length: ORDERS }, (_, order) => new Twin(program, order * ORDER_MS));
  }

  async ask(line) {
    await Promise.all(this.all.map((twin) => twin.ask(line)));
  }

  /** Time passes until `ms` since the start, at this time of day. */
  async time(ms, wall) {
    await Promise.all(this.all.map((twin) => twin.ask(`time ${Math.floor(ms) + twin.offset} ${wall}`)));
  }

  /** What the first that is left says: page, phase, answer on the knob, gate, frame. */
  get said() {
    return this.all[0].said;
  }

  /** Keeps those for which `holds`; `false`, and all stay, when it holds for none. */
  keep(holds) {
    const [kept, dropped] = [true, false].map((wanted) => this.all.filter((twin) => holds(twin.said) === wanted));
    if (kept.length === 0) return false;
    this.all = kept;
    dropped.forEach((twin) => twin.end());
    return true;
  }

  end() {
    this.all.forEach((twin) => twin.end());
  }
}
