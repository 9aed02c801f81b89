// The I2C bus: who is on it, and lines that hang (I2C-bus specification, 3.1).
//
// A device has `starts(reads)` (whether it takes its address), `takes(byte)`, `gives()` and `stops()`. Not modelled: time on the
// lines, levels, rise times, arbitration. An address takes its time, so that the controller's FIFO
// fills behind one that nobody takes: by that alone rp2040-hal notices it. The emulator leaves out that such a transfer empties the
// FIFO (RP2040 data sheet, 4.3.7 "TX_EMPTY"), so that is said here.

/** Nine clocks at 400 kHz. */
const ADDRESS_NS = 22_500;
const TX_EMPTY = 1 << 4; // in IC_RAW_INTR_STAT

export class Bus {
  constructor() {
    this.devices = new Map();
    /** Somebody holds the clock line low: no transfer goes on. */
    this.hangs = false;
    /** Transfers that stand still for it. */
    this.waiting = 0;
  }

  wire(i2c, clock) {
    let device = null;
    const addressed = clock.createAlarm(() => {
      i2c.completeConnect(device !== null);
      if (device === null) i2c.setInterrupts(TX_EMPTY);
    });
    const go = (act) => {
      if (this.hangs) this.waiting += 1;
      else act();
    };
    i2c.onStart = () => go(() => i2c.completeStart());
    i2c.onConnect = (address, mode) =>
      go(() => {
        const found = this.devices.get(address);
        device = found?.present ? found : null;
        device?.starts(mode === 1);
        addressed.schedule(ADDRESS_NS);
      });
    i2c.onWriteByte = (byte) =>
      go(() => {
        device?.takes(byte);
        i2c.completeWrite(device?.present ?? false);
      });
    i2c.onReadByte = () => go(() => i2c.completeRead(device?.present ? device.gives() : 0xff));
    i2c.onStop = () =>
      go(() => {
        device?.stops();
        device = null;
        i2c.completeStop();
      });
  }
}
