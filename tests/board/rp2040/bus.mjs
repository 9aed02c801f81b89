// The I2C bus: who is on it, and lines that hang (I2C-bus specification, 3.1).
//
// A device has `starts(reads)` (whether it takes its address), `takes(byte)`, `gives()` and `stops()`. Not modelled: time on the
// lines, levels, rise times, arbitration. An address takes its time, so that the controller's FIFO fills behind one that nobody
// takes. A line that hangs is let go by nobody but the test: the nine clocks that would free a data line are not looked at.
// The emulator's controller forgets nothing in its reset, so that is done here.

/** Nine clocks at 400 kHz. */
const ADDRESS_NS = 22_500;
/** In RESETS' first register (RP2040 data sheet, 2.14.3). */
const I2C0 = 1 << 3;

export class Bus {
  constructor() {
    this.devices = new Map();
    /** Somebody holds the clock line low: no transfer goes on. */
    this.hangs = false;
    /** From so many bytes on that are written. */
    this.hangsAfter = Infinity;
    /** Transfers that stand still for it. */
    this.waiting = 0;
    /** How often the controller was reset. */
    this.resets = 0;
  }

  wire(i2c, clock, resets) {
    let device = null;
    const write = resets.writeUint32.bind(resets);
    resets.writeUint32 = (offset, value) => {
      if (offset === 0 && value & I2C0) {
        Object.assign(i2c, { state: 0, busy: false, stop: false, pendingRestart: false, intRaw: 0, abortSource: 0 });
        i2c.txFIFO.reset();
        i2c.rxFIFO.reset();
        device = null;
        this.resets += 1;
      }
      write(offset, value);
    };
    const addressed = clock.createAlarm(() => {
      i2c.completeConnect(device !== null);
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
        this.hangsAfter -= 1;
        if (this.hangsAfter === 0) this.hangs = true;
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
