// The processor and what lies around it: the emulator `rp2040js`, with boot ROM, reset, watchdog and time.
//
// Reset is modelled as a new chip that finds its flash, and after a restart by the watchdog also the watchdog's scratch
// registers and the reason of it (RP2040 data sheet, 4.7 "Watchdog"). A hard fault, which the emulator does not raise, can
// be put in from outside.
//
// Not modelled, by it or here: time that flash, the lines of SPI and I2C and the boot ROM take (so the firmware runs faster
// than on the chip), the second core, brown-out, clocks that do not start. A peripheral in reset takes writes all the same.

import { RP2040 } from 'rp2040js';
import { FLASH_BYTES, installBootRom } from './boot_rom.mjs';

const FLASH = 0x1000_0000;
const SRAM = 0x2000_0000;
const WATCHDOG = 0x40058;
const HARD_FAULT = 3; // exception number (ARMv6-M Architecture Reference Manual, B1.5.2)
const CYCLE_NS = 8; // 125 MHz
/** In the lowest bit of a function's address (ARMv6-M Architecture Reference Manual, A4.1.1). */
const THUMB = 1;
/** What cortex-m-rt's `paint-stack` leaves in unused stack. */
const PAINT = 0xcccc_cccc;
/** The longest sleep of the processor when nothing is at hand: half of the watchdog's time. */
const NAP_NS = 4e9;
/** Then it is awake for so long: a round of its loop with a drawing, so that what came due by the clock is done. */
const WAKE_MS = 20;

/** SBCS of two registers (ARMv6-M Architecture Reference Manual, A6.7.59, encoding T1). */
const isSbcs = (opcode) => opcode >> 6 === 0b01_0000_0110;

/**
 * Mends the overflow flag of SBCS: the emulator adds the borrow to the register first, so that 0x7FFF_FFFF becomes a negative
 * number, and a comparison with the largest number of 64 bits, which every empty box begins with, goes the wrong way.
 */
function mendBorrow(core) {
  const subtract = core.substractUpdateFlags.bind(core);
  core.substractUpdateFlags = (minuend, subtrahend) => {
    const borrow = !core.C;
    const result = subtract(minuend, subtrahend);
    if (subtrahend === 0x8000_0000 && borrow && isSbcs(core.readUint16((core.PC & ~1) - 2))) {
      core.V = minuend >= 0x8000_0000 && !core.N;
    }
    return result;
  };
}

export class Chip {
  /** `wire(mcu)` connects what hangs on the pins; it is called at every reset. */
  constructor(elf, wire) {
    this.wire = wire;
    this.elf = elf;
    this.ledgerAt = elf.symbol('_ledger_start') - FLASH;
    this.flash = new Uint8Array(FLASH_BYTES).fill(0xff);
    for (const { address, bytes } of elf.segments) this.flash.set(bytes, address - FLASH);
    this.counts = { erases: 0, writes: 0, instructions: 0 };
    /** Nanoseconds of the starts before this one. */
    this.before = 0;
    /** Restarts by the watchdog. */
    this.restarts = 0;
    this.deepest = 0;
  }

  /** The power comes. */
  powerOn() {
    this.#start({ scratch: null, reason: 0 });
  }

  /** The power goes, for so long: RAM and scratch registers forget. */
  powerOff(ms) {
    this.#end();
    this.before += ms * 1e6;
  }

  #start({ scratch, reason }) {
    const mcu = new RP2040();
    mendBorrow(mcu.core);
    this.mcu = mcu;
    this.clock = mcu.clock;
    this.resets = null;
    mcu.logger = { debug() {}, info() {}, warn() {}, error() {} };
    mcu.flash.set(this.flash);
    this.cells = installBootRom(mcu, this.clock, this.ledgerAt, this.counts);
    const watchdog = mcu.peripherals[WATCHDOG];
    if (scratch) watchdog.scratchData.set(scratch);
    watchdog.reason = reason;
    watchdog.onWatchdogTrigger = () => {
      // Stopped by the reset; the emulator's would fire again and again at the same moment.
      watchdog.timer.enable = false;
      this.resets ??= { scratch: watchdog.scratchData.slice(), reason: watchdog.reason };
    };
    this.wire(mcu);
    // As the boot ROM leaves it to the boot block, which sets up flash and goes on to the program.
    mcu.core.VTOR = FLASH;
    mcu.core.PC = FLASH;
    mcu.core.SP = SRAM + 0x41f00;
    mcu.core.LR = 0;
  }

  #end() {
    this.deepest = Math.max(this.deepest, this.stackUsed());
    this.flash = this.cells.slice(0, FLASH_BYTES);
    this.before += this.clock.nanos;
  }

  /** Milliseconds since this start, as the firmware's timer counts them. */
  get ms() {
    return this.clock.nanos / 1e6;
  }

  /** Milliseconds since the first start. */
  get allMs() {
    return (this.before + (this.clock?.nanos ?? 0)) / 1e6;
  }

  /** So many milliseconds, tick by tick. */
  run(ms) {
    this.#go(ms, 0);
  }

  /** The same for a time in which nothing happens at the pins: the processor sleeps on through several of its ticks. */
  rest(ms) {
    this.#go(Math.max(ms - WAKE_MS, 0), NAP_NS);
    this.#go(Math.min(ms, WAKE_MS), 0);
  }

  #go(ms, nap) {
    const all = this.before + this.clock.nanos + ms * 1e6;
    while (this.before + this.clock.nanos < all) {
      if (this.resets) {
        const { resets } = this;
        this.#end();
        this.restarts += 1;
        this.#start(resets);
      }
      const { core } = this.mcu;
      if (core.waiting) {
        const left = all - this.before - this.clock.nanos;
        // Never less than a cycle: a fraction of one would be lost in the sum, and time stand still.
        this.clock.tick(Math.max(Math.min(left, Math.max(this.clock.nanosToNextAlarm, nap)), CYCLE_NS));
        if (core.interruptsUpdated) core.executeInstruction();
      } else {
        this.counts.instructions += 1;
        this.clock.tick(core.executeInstruction() * CYCLE_NS);
      }
    }
  }

  /** The same while the program spins in one place: it is not run through it round by round. */
  spin(ms) {
    this.clock.tick(ms * 1e6);
    this.#go(1, 0);
  }

  /** A fault that only the processor can find, as a flipped bit makes one. */
  hardFault() {
    this.mcu.core.exceptionEntry(HARD_FAULT);
  }

  /** A panic where the program just is: its handler is called from there. */
  panic() {
    const { core } = this.mcu;
    core.LR = core.PC | THUMB;
    this.#goTo(this.elf.symbolLike('rust_begin_unwind'));
  }

  /** The program goes round in one place and comes back to nothing. */
  hang() {
    // cortex-m-rt's handler of what nobody handles is such a loop.
    this.#goTo(this.elf.symbol('DefaultHandler'));
  }

  /** A word of RAM. */
  word(address) {
    return this.mcu.sramView.getUint32(address - SRAM, true);
  }

  #goTo(address) {
    const { core } = this.mcu;
    core.waiting = false;
    core.PC = address & ~THUMB;
  }

  /** The most stack that was used, over all starts: how far down the start-up code's paint is gone. */
  stackUsed() {
    const [low, high] = ['_stack_end', '_stack_start'].map((name) => this.elf.symbol(name) - SRAM);
    let at = low;
    while (at < high && this.mcu.sramView.getUint32(at, true) === PAINT) at += 4;
    return Math.max(this.deepest, high - at);
  }

  /** The stack's whole room. */
  get stackRoom() {
    return this.elf.symbol('_stack_start') - this.elf.symbol('_stack_end');
  }
}
