// The I2C bus: who is on it, and lines that hang (I2C-bus specification, 3.1).
//
// A device has `starts(reads)` (whether it takes its address), `takes(byte)`, `gives()` and `stops()`. Not modelled: time on the
// lines, levels, rise times, arbitration.

export class Bus {
  constructor() {
    this.devices = new Map();
    /** Somebody holds the clock line low: no transfer goes on. */
    this.hangs = false;
    /** Transfers that stand still for it. */
    this.waiting = 0;
  }

  wire(i2c) {
    let device = null;
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
        i2c.completeConnect(device !== null);
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
