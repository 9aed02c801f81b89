// The display: a 128x64 OLED with an SSD1306 or an SH1106 on I2C (SSD1306 data sheet, 8.1.5 "I2C interface", 9 "Command table";
// SH1106 data sheet, the same chapters).
//
// What the glass shows goes by the controller's memory, and by whether panel and charge pump are on. Its memory holds noise at
// power-up. Not modelled: contrast and timing, scrolling, addressing by rows, reading its memory.

export const WIDTH = 128;
export const HEIGHT = 64;
const PAGES = 8;
const COMMANDS = 0x00;
const PIXELS = 0x40;
/** Commands with one more byte behind them. */
const LONG = new Set([0x20, 0x81, 0x8d, 0xa8, 0xd3, 0xd5, 0xd9, 0xda, 0xdb]);

export class Display {
  constructor({ sh1106 = false } = {}) {
    this.present = true;
    this.columns = sh1106 ? 132 : 128;
    this.firstShown = sh1106 ? 2 : 0;
    // The SH1106's pump is on from power-up.
    this.pumpAtPowerUp = sh1106;
    this.powerUp();
  }

  powerUp() {
    this.memory = Array.from({ length: PAGES }, () => new Uint8Array(this.columns).fill(0xa5));
    Object.assign(this, { isOn: false, pump: this.pumpAtPowerUp, mirrored: false, upsideDown: false });
    Object.assign(this, { inverse: false, allLit: false, page: 0, column: 0, kind: null, long: null });
    this.pagesTaken = 0;
  }

  starts() {
    this.kind = null;
    this.long = null;
  }

  takes(byte) {
    if (this.kind === null) this.kind = byte;
    else if (this.kind === PIXELS) this.#pixels(byte);
    else if (this.kind === COMMANDS) this.#command(byte);
    else throw new Error(`the display takes no control byte ${this.kind.toString(16)}`);
  }

  gives() {
    return this.isOn ? 0x00 : 0x40; // its status
  }

  stops() {
    if (this.kind === PIXELS) this.pagesTaken += 1;
  }

  #pixels(byte) {
    if (this.column < this.columns) this.memory[this.page][this.column] = byte;
    this.column += 1;
    // The SSD1306 begins the page anew, the SH1106 stays at its end.
    if (this.column === this.columns && this.columns === WIDTH) this.column = 0;
  }

  #command(byte) {
    if (this.long !== null) {
      if (this.long === 0x8d) this.pump = (byte & 0x04) !== 0 || this.pumpAtPowerUp;
      if (this.long === 0xa8 && byte !== HEIGHT - 1) throw new Error('the display is not set to 64 rows');
      this.long = null;
    } else if (LONG.has(byte)) this.long = byte;
    else if (byte <= 0x0f) this.column = (this.column & 0xf0) | byte;
    else if (byte <= 0x1f) this.column = (this.column & 0x0f) | ((byte & 0x0f) << 4);
    else if (byte >= 0xb0 && byte <= 0xb7) this.page = byte & 7;
    else if (byte >= 0x40 && byte <= 0x7f) this.firstRow = byte & 0x3f;
    else if (byte === 0xa0 || byte === 0xa1) this.mirrored = byte === 0xa1;
    else if (byte === 0xc0 || byte === 0xc8) this.upsideDown = byte === 0xc8;
    else if (byte === 0xa4 || byte === 0xa5) this.allLit = byte === 0xa5;
    else if (byte === 0xa6 || byte === 0xa7) this.inverse = byte === 0xa7;
    else if (byte === 0xae || byte === 0xaf) this.isOn = byte === 0xaf;
    else throw new Error(`the display takes no command ${byte.toString(16)}`);
  }

  /** What the glass shows, row by row, most significant bit left: a frame of the core. Dark while it is off. */
  frame() {
    const frame = new Uint8Array((WIDTH * HEIGHT) / 8);
    if (!this.isOn || !this.pump) return frame;
    // On the common modules the glass is mounted so that both directions have to be turned round.
    if (!this.mirrored || !this.upsideDown) throw new Error('the picture stands on its head');
    for (let y = 0; y < HEIGHT; y++) {
      for (let x = 0; x < WIDTH; x++) {
        const bit = (this.memory[y >> 3][this.firstShown + x] >> (y & 7)) & 1;
        if ((bit !== 0) !== this.inverse || this.allLit) frame[(y * WIDTH + x) >> 3] |= 0x80 >> (x & 7);
      }
    }
    return frame;
  }
}
