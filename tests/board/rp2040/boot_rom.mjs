// The chip's boot ROM, as far as the firmware calls it (RP2040 data sheet, 2.8 "Bootrom"): the table of functions, those
// that work on flash, and the fast ones for memory and bits. Each is a breakpoint in the emulated ROM whose work is done here.
//
// Flash (2.8.3.1.3 "Flash access functions") is held to what the chip does: programming clears bits and never sets one,
// erasing sets whole sectors, both take their usual time (W25Q16JV data sheet, AC characteristics: 45 ms and 0.4 ms).
// A program that would hang the real chip fails here: one that touches flash while it is off the bus, leaves interrupts
// on meanwhile, or writes outside the ledger's part.
//
// Not modelled: the ROM's own code and its time, the second core, USB boot, the flash chip's commands on its wires; half
// written pages of a power cut in the middle of one (the host tests of the ledger have them).

export const FLASH_BYTES = 2 << 20;
const SECTOR = 4096;
const PAGE = 256;
const ERASE_NS = 45e6;
const PROGRAM_NS = 0.4e6;

const SRAM = 0x2000_0000;
const TABLE_AT = 0x80;
const LOOKUP_AT = 0x100;
const FUNCTIONS_AT = 0x200;
const BREAKPOINT = 0xbe00;
const RETURN = 0x4770; // bx lr
const LOOKUP = 1;
const FIRST_FUNCTION = 0x10;

/** Registers of the flash interface (4.10.13): writing 1 to SSIENR puts flash back on the bus. */
const SSI = 0x18000;
const SSIENR = 0x08;

/** What is read while flash is off the bus: as code the one instruction that is undefined for ever (UDF 0xDE). */
const nothing = new Uint8Array(16 << 20).fill(0xde);
const OFF_THE_BUS = {
  flash: nothing,
  flash16: new Uint16Array(nothing.buffer),
  flashView: new DataView(nothing.buffer),
};

/** Puts the ROM into `mcu`. `ledgerAt` is where flash may be written from; `counts` takes erases and writes. Gives the flash's cells. */
export function installBootRom(mcu, clock, ledgerAt, counts) {
  const rom = new DataView(mcu.bootrom.buffer);
  const half = (at, value) => rom.setUint16(at, value, true);
  rom.setUint32(0x10, 0x01_754d | (1 << 24), true); // "Mu", 1, and the ROM's version
  half(0x14, TABLE_AT);
  half(0x16, TABLE_AT);
  half(0x18, LOOKUP_AT + 1);
  half(LOOKUP_AT, BREAKPOINT | LOOKUP);
  half(LOOKUP_AT + 2, RETURN);
  const codes = []; // in the order in which the firmware looked them up
  for (let n = 0; n < 32; n++) {
    half(FUNCTIONS_AT + 4 * n, BREAKPOINT | (FIRST_FUNCTION + n));
    half(FUNCTIONS_AT + 4 * n + 2, RETURN);
  }

  const { flash, flash16, flashView } = mcu;
  let onBus = true;
  const takeOff = () => {
    onBus = false;
    Object.assign(mcu, OFF_THE_BUS);
  };
  const putBack = () => {
    onBus = true;
    Object.assign(mcu, { flash, flash16, flashView });
  };
  const ssi = mcu.peripherals[SSI];
  const write = ssi.writeUint32.bind(ssi);
  ssi.writeUint32 = (offset, value) => {
    write(offset, value);
    if (offset === SSIENR && value & 1) putBack();
  };

  const changing = (what, at, size, unit) => {
    if (onBus) throw new Error(`flash is ${what} while it is read from`);
    if (!mcu.core.PM) throw new Error(`flash is ${what} with interrupts on`);
    if (at % unit || size % unit || at < ledgerAt || at + size > FLASH_BYTES) {
      throw new Error(`flash is ${what} at ${at.toString(16)}, ${size} bytes`);
    }
  };
  const work = {
    IF() {}, // connect_internal_flash
    EX: takeOff, // flash_exit_xip
    FC() {}, // flash_flush_cache: this flash has none
    CX: putBack, // flash_enter_cmd_xip
    RE([at, size]) {
      changing('erased', at, size, SECTOR);
      flash.fill(0xff, at, at + size);
      counts.erases += size / SECTOR;
      clock.tick(ERASE_NS);
    },
    RP([at, from, size]) {
      changing('written', at, size, PAGE);
      for (let n = 0; n < size; n++) flash[at + n] &= mcu.sram[from - SRAM + n];
      counts.writes += size / PAGE;
      clock.tick(PROGRAM_NS);
    },
    MS([to, value, size]) {
      for (let n = 0; n < size; n++) mcu.writeUint8(to + n, value & 0xff);
    },
    MC([to, from, size]) {
      for (let n = 0; n < size; n++) mcu.writeUint8(to + n, mcu.readUint8(from + n));
    },
    L3: ([value]) => Math.clz32(value),
    T3: ([value]) => (value ? 31 - Math.clz32(value & -value) : 32),
  };
  work.S4 = work.MS;
  work.C4 = work.MC;

  mcu.onBreak = (number) => {
    const registers = mcu.core.registers;
    if (number === LOOKUP) {
      const code = String.fromCharCode(registers[1] & 0xff, (registers[1] >> 8) & 0xff);
      if (!codes.includes(code)) codes.push(code);
      registers[0] = FUNCTIONS_AT + 4 * codes.indexOf(code) + 1;
      return;
    }
    const code = codes[number - FIRST_FUNCTION];
    if (!onBus && number === 0xde) throw new Error('the program runs from flash that is off the bus');
    if (!(code in work)) throw new Error(`the boot ROM has no ${code ?? `breakpoint ${number}`} here`);
    const result = work[code]([...registers.slice(0, 4)].map((value) => value >>> 0));
    if (result !== undefined) registers[0] = result;
  };
  return flash;
}
