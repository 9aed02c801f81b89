// The clock chip: a DS3231 on I2C (DS3231 data sheet, "Timekeeping registers", figure 1).
//
// Seconds to year in BCD, 24 hours; the flag that the oscillator stood still. It goes on while the module has no power, as
// with its cell in. Not modelled: alarms, temperature, 12 hours, the square wave; the day of the week is kept as set.

const STATUS = 0x0f;
const STOPPED = 0x80;

const bcd = (value) => (Math.floor(value / 10) << 4) | value % 10;
const binary = (value) => (value >> 4) * 10 + (value & 0x0f);

export class ClockChip {
  /** `now()` gives milliseconds; `set` is a local time, or none for a chip that was never set. */
  constructor(now, set) {
    this.present = true;
    this.now = now;
    this.registers = new Uint8Array(0x13);
    this.registers[STATUS] = set ? 0x08 : 0x08 | STOPPED;
    this.offset = Date.parse(`${set ?? '2000-01-01T00:00:00'}Z`) - now();
    this.writes = 0;
  }

  /** The time to the second, as ISO 8601; `-` where it was never set, or is not to be had. */
  wall() {
    if (!this.present || this.registers[STATUS] & STOPPED) return '-';
    return new Date(this.now() + this.offset).toISOString().slice(0, 19);
  }

  starts(reads) {
    if (!reads) this.pointer = null;
  }

  takes(byte) {
    if (this.pointer === null) {
      this.pointer = byte;
      this.#latch();
      return;
    }
    this.registers[this.pointer] = byte;
    this.dirty ||= this.pointer < 7;
    this.pointer = (this.pointer + 1) % this.registers.length;
  }

  gives() {
    const byte = this.registers[this.pointer];
    this.pointer = (this.pointer + 1) % this.registers.length;
    return byte;
  }

  stops() {
    if (!this.dirty) return;
    this.dirty = false;
    this.writes += 1;
    const [s, m, h, , d, month, y] = [...this.registers.slice(0, 7)].map((value) => binary(value & 0x7f));
    this.offset = Date.UTC(2000 + y, month - 1, d, h, m, s) - this.now();
  }

  #latch() {
    const at = new Date(this.now() + this.offset);
    const [s, m, h] = [at.getUTCSeconds(), at.getUTCMinutes(), at.getUTCHours()];
    const date = [at.getUTCDate(), at.getUTCMonth() + 1, at.getUTCFullYear() % 100];
    this.registers.set([bcd(s), bcd(m), bcd(h)], 0);
    this.registers.set(date.map(bcd), 4);
    this.registers[3] ||= 1;
  }
}
