// The whole of board two, wired as firmware/README.md says, and the hands that work it.
//
// Each act at the pins takes the time that it takes a hand. Not modelled: contacts that bounce (the drivers' own tests have
// that), the beeper's tone, the relay behind the gate's pin.

import { Bus } from './bus.mjs';
import { CardSlot } from './card.mjs';
import { Chip } from './chip.mjs';
import { ClockChip } from './clock_chip.mjs';
import { Display } from './display.mjs';
import { counts } from './probes.mjs';

const PIN = { sda: 4, scl: 5, knobA: 10, knobB: 11, push: 12, gate: 15, select: 17, isSh1106: 21, hasNozzle: 22 };
const DISPLAY = 0x3c;
const CLOCK = 0x68;
const HIGH = 1;
const RESETS = 0x4000c;

export class Module {
  /** `wall` is what the clock chip was set to; none = never. */
  constructor(elf, { wall, sh1106 = false } = {}) {
    this.pressed = { knobA: false, knobB: false, push: false };
    this.sh1106 = sh1106;
    /** Every move of the gate's contact, with milliseconds since the first start. */
    this.gateMoves = [];
    this.gate = 'shut';
    this.chip = new Chip(elf, (mcu) => this.#wire(mcu));
    this.display = new Display({ sh1106 });
    this.clockChip = new ClockChip(() => this.chip.allMs, wall);
    this.bus = new Bus();
    this.bus.devices.set(DISPLAY, this.display).set(CLOCK, this.clockChip);
    this.slot = new CardSlot(() => this.chip.allMs * 1e6);
    this.converter = [20, 20, 20].map(counts);
    this.chip.powerOn();
  }

  #wire(mcu) {
    const { gpio } = mcu;
    for (const pin of ['sda', 'scl']) gpio[PIN[pin]].setInputValue(true);
    gpio[PIN.hasNozzle].setInputValue(false);
    gpio[PIN.isSh1106].setInputValue(!this.sh1106);
    for (const contact of Object.keys(this.pressed)) gpio[PIN[contact]].setInputValue(!this.pressed[contact]);
    mcu.adc.channelValues.splice(0, 3, ...this.converter);
    // A chip that starts anew leaves the pin to the transistor's own resistor: shut.
    if (this.gate === 'open') this.gateMoves.push({ ms: this.chip.before / 1e6, to: 'shut' });
    this.gate = 'shut';
    gpio[PIN.gate].addListener((level) => {
      const to = level === HIGH ? 'open' : 'shut';
      if (to !== this.gate) this.gateMoves.push({ ms: this.chip.allMs, to });
      this.gate = to;
    });
    this.bus.wire(mcu.i2c[0], mcu.clock, mcu.peripherals[RESETS]);
    this.slot.wire(mcu.spi[0], gpio[PIN.select]);
  }

  #contact(contact, isClosed) {
    this.pressed[contact] = isClosed;
    this.chip.mcu.gpio[PIN[contact]].setInputValue(!isClosed);
  }

  /** One detent: 1 clockwise, -1 against it. Clockwise closes A first, and opens it first. */
  turn(detents) {
    const [first, second] = detents > 0 ? ['knobA', 'knobB'] : ['knobB', 'knobA'];
    for (const [contact, isClosed] of [[first, true], [second, true], [first, false], [second, false]]) {
      this.#contact(contact, isClosed);
      this.chip.run(4);
    }
    this.chip.run(40);
  }

  /** Down for so long, and up again. */
  press(ms = 80) {
    this.down();
    this.chip.run(ms);
    this.up();
  }

  down() {
    this.#contact('push', true);
  }

  up() {
    this.#contact('push', false);
    this.chip.run(60);
  }

  /** What the clock chip can tell just now. */
  get wall() {
    return this.bus.hangs ? '-' : this.clockChip.wall();
  }

  /** The beads at plate, air and hot end get so warm. */
  warm(...celsius) {
    this.setCounts(...celsius.map(counts));
  }

  setCounts(plate, air, nozzle) {
    this.converter = [plate, air, nozzle];
    this.chip.mcu.adc.channelValues.splice(0, 3, ...this.converter);
  }

  /** The plug is pulled for so long: the display forgets, the clock chip goes on by its cell. */
  cutPower(ms) {
    this.chip.powerOff(ms);
    this.display.powerUp();
    this.slot.repower();
    this.chip.powerOn();
  }
}
