// Board and twins side by side: each act goes to both, and the glass must show what the twins show.

import assert from 'node:assert/strict';
import { fileURLToPath } from 'node:url';
import { readElf } from './elf.mjs';
import { Module } from './module.mjs';
import { both, same, text } from './picture.mjs';
import { Twins } from './twin.mjs';

const ROOT = fileURLToPath(new URL('../../../', import.meta.url));
export const TARGET = process.env.CARGO_TARGET_DIR ?? `${ROOT}target`;
const elf = readElf(`${TARGET}/thumbv6m-none-eabi/firmware/rp2040`);
const TWIN = `${TARGET}/debug/device-twin`;

/** A screen is looked at so long before it is answered: nobody could call that too quick. */
const LOOK_MS = 2_200;
/** A screen is drawn every 100 ms; a change is on the glass after this. */
const DRAWN_MS = 130;
/** More turns than any list has answers. */
const MOST_TURNS = 24;
/** Between two looks at what takes a while, s. */
const LOOKS_S = 4;
/** The room, °C. */
const AIR = 20;

export class Bench {
  constructor(options) {
    this.module = new Module(elf, options);
    this.chip = this.module.chip;
    this.twins = new Twins(TWIN);
    this.heat = { plate: 20, nozzle: 20 };
  }

  end() {
    this.twins.end();
    this.module.slot.pull();
  }

  get gate() {
    return this.module.gate;
  }

  /** The twins' time becomes the board's. */
  async sync() {
    await this.twins.ask(`probes ${this.module.converter.join(' ')}`);
    await this.twins.time(this.chip.ms, this.module.wall);
  }

  /** Time passes in which nothing is done. */
  async wait(ms) {
    this.chip.rest(ms);
    await this.sync();
  }

  /** The glass comes to show what one of the twins shows; the others are dropped. */
  async expect(name, mostMs = 6_000) {
    for (let ms = 0; ms < mostMs; ms += DRAWN_MS) {
      const got = this.module.display.frame();
      if (this.twins.keep(({ frame }) => same(frame, got))) return;
      await this.wait(DRAWN_MS);
    }
    assert.fail(`${name}: ${this.twins.said.page}\n${both(this.module.display.frame(), this.twins.said.frame)}`);
  }

  /** The page that the twins are at, and that the glass shows. */
  async at(page) {
    assert.equal(this.twins.said.page, page, text(this.twins.said.frame));
    await this.expect(page);
  }

  /** The glass shows these six lines, which a board says of itself. */
  async tells(lines, mostMs = 2_000) {
    await this.twins.ask(`lines ${lines.join('|')}`);
    const { frame } = this.twins.said;
    for (let ms = 0; ms < mostMs; ms += DRAWN_MS) {
      if (same(this.module.display.frame(), frame)) return;
      this.chip.rest(DRAWN_MS);
    }
    assert.fail(both(this.module.display.frame(), frame));
  }

  async press() {
    this.module.press();
    await this.sync();
    await this.twins.ask('press');
  }

  async turn(detents) {
    for (let n = 0; n < Math.abs(detents); n++) {
      this.module.turn(Math.sign(detents));
      await this.sync();
      await this.twins.ask(`turn ${Math.sign(detents)}`);
    }
  }

  /** Kept down for so long, from when it counts as held. */
  async hold(ms) {
    /** Counts as held by then: 42 samples, each 10 ms after the one before or when a drawing is done. */
    const HELD_MS = 520;
    this.module.down();
    this.chip.run(HELD_MS);
    await this.sync();
    await this.twins.ask('hold');
    await this.wait(ms);
    this.module.up();
    await this.sync();
    await this.twins.ask('let-go');
  }

  /** Puts a card in; `worn` is its block that cannot be read. */
  async insert(card, worn = null) {
    this.module.slot.insert(card.path);
    this.module.slot.worn = worn;
    // Found by the next look, and its listing begun.
    this.chip.run(400);
    await this.sync();
    await this.twins.ask(`card ${card.path} ${worn ?? '-'}`);
  }

  async pull() {
    this.module.slot.pull();
    this.chip.run(300);
    await this.sync();
    await this.twins.ask('pull');
  }

  /** Turns to the answer of this name, the glass compared at each detent; looks; presses. */
  async answer(word) {
    await this.expect(this.twins.said.page);
    for (let turned = 0; this.twins.said.knob !== word; turned++) {
      assert.ok(turned < MOST_TURNS, `${this.twins.said.page} has no answer ${word}`);
      await this.turn(1);
      await this.expect(`${this.twins.said.page}, ${turned + 1} turned`);
    }
    await this.wait(LOOK_MS);
    await this.press();
    await this.expect(`after ${word}`);
  }

  /** The board has just started anew: so do the twins. */
  async restarted() {
    await this.twins.ask(`restart ${this.module.wall}`);
  }

  /** Looks at the screen, and presses. */
  async read() {
    await this.expect(this.twins.said.page);
    await this.wait(LOOK_MS);
    await this.press();
    await this.expect('after reading');
  }

  /** The beads' heat goes to that of `to`, by so many kelvins a second, until `done` or there. */
  async heatTo(to, perSecond, done = () => false) {
    const there = () => Object.keys(to).every((part) => this.heat[part] === to[part]);
    while (!there() && !done()) {
      for (const part of Object.keys(to)) {
        const left = to[part] - this.heat[part];
        this.heat[part] += Math.sign(left) * Math.min(perSecond[part], Math.abs(left));
      }
      this.module.warm(this.heat.plate, AIR, this.heat.nozzle);
      await this.wait(1_000);
    }
  }

  /** Waits until the twins say so, and compares the glass then. */
  async until(name, holds, mostSeconds) {
    for (let second = 0; !holds(this.twins.said); second += LOOKS_S) {
      assert.ok(second < mostSeconds, `${name} did not come; it is ${this.twins.said.phase}, ${this.twins.said.page}`);
      await this.wait(LOOKS_S * 1_000);
    }
    await this.expect(name);
  }
}
