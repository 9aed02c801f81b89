// What breaks around board two, or in it: none of it may stop the device or open its gate.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { Bench } from './bench.mjs';
import { CardImage } from './card_image.mjs';
import { MACHINE, ROOM, UNREADABLE, long, ring, spool, worn } from './jobs.mjs';
import { OPEN, SHORTED } from './probes.mjs';

const RECORDS = { 'HOLDPT/MACHINE.JSN': MACHINE, 'HOLDPT/SPOOL.JSN': spool(400_000), 'HOLDPT/ROOM.JSN': ROOM };
const WALL = '2026-11-25T14:42:00';

/** A device and cards that go when the test does. The gate stays shut in all of these. */
async function device(t, options, ...cards) {
  const bench = new Bench({ wall: WALL, ...options });
  const images = cards.map((files) => new CardImage(files));
  t.after(() => {
    bench.end();
    images.forEach((image) => image.remove());
    assert.deepEqual(bench.module.gateMoves, []);
    t.diagnostic(`${(bench.chip.allMs / 1000).toFixed(0)} s of its time`);
  });
  return [bench, ...images];
}

/** The screen after a fault of this code, until it is pressed away. */
async function restarted(bench, code, times = 1) {
  await bench.restarted();
  const lines = ['RESTARTED BY A FAULT', code, 'Look at the machine:', 'it may be hot or run.', 'Note the code.', 'Press: go on'];
  await bench.tells(lines, 4_000);
  assert.equal(bench.chip.restarts, times);
  bench.module.press();
  await bench.wait(500);
  await bench.at('Waiting');
}

test('a fault of the processor: its code, then it goes on', async (t) => {
  const [bench] = await device(t, {});
  await bench.wait(1_500);
  const at = bench.chip.mcu.core.PC;
  bench.chip.hardFault();
  bench.chip.run(5);
  bench.chip.spin(150);
  await restarted(bench, `F-${at.toString(16).toUpperCase().padStart(8, '0')}`);
});

test('a panic: the call that did not hold, then it goes on', async (t) => {
  const [bench] = await device(t, {});
  const { chip } = bench;
  await bench.wait(1_500);
  // The frame that stands is of the function that called whatever fails: its return address lies above.
  const call = chip.word(chip.mcu.core.registers[7] + 4) - 3;
  chip.panic();
  chip.run(5);
  chip.spin(150);
  await restarted(bench, `P-${call.toString(16).toUpperCase().padStart(8, '0')}`);
});

test('a loop that stands still: anew after eight seconds', async (t) => {
  const [bench] = await device(t, {});
  await bench.wait(1_500);
  bench.chip.hang();
  bench.chip.spin(7_500);
  assert.equal(bench.chip.restarts, 0);
  bench.chip.spin(600);
  await restarted(bench, 'W-00000000');
});

test('a bus that hangs: the device goes on without its display, and shows the next change once the bus is free', async (t) => {
  const [bench, card] = await device(t, {}, { ...RECORDS, 'Ring.gcode': ring().text });
  const { module, chip } = bench;
  await bench.wait(1_500);
  module.bus.hangs = true;
  // It asks the clock once a second, and has no time of day from then on.
  await bench.wait(1_500);
  await bench.insert(card);
  await bench.wait(12_000);
  assert.equal(chip.restarts, 0, 'no restart in one and a half of the watchdog\'s times');
  const { waiting, resets } = module.bus;
  assert.ok(waiting >= 5 && resets >= waiting, `tried ${waiting} times, begun anew ${resets} times`);
  let [awake, longest] = [0, 0];
  for (let ms = 0; ms < 1_000; ms++) {
    chip.run(1);
    awake = chip.mcu.core.waiting ? 0 : awake + 1;
    longest = Math.max(longest, awake);
  }
  assert.ok(longest > 5 && longest < 50, `${longest} ms without a look at the knob`);
  // A press is taken while nothing is shown.
  await bench.press();
  module.bus.hangs = false;
  await bench.at('Confirmation');
  assert.equal(chip.restarts, 0);
});

test('a bus that hangs in the midst of a page costs one picture', async (t) => {
  const [bench, card] = await device(t, {}, { ...RECORDS, 'Ring.gcode': ring().text });
  const { module, chip } = bench;
  await bench.wait(1_500);
  module.bus.hangsAfter = 200;
  await bench.insert(card);
  await bench.wait(2_000);
  assert.ok(module.bus.hangs, 'it hung while a picture was sent');
  module.bus.hangs = false;
  await bench.at('Jobs');
  assert.equal(chip.restarts, 0);
});

test('a lead that is off or shorted: what it counts is no temperature, and the glass says which it is', async (t) => {
  const [bench] = await device(t, {});
  const { module } = bench;
  const [, air, nozzle] = module.converter;
  await bench.wait(1_500);
  module.setCounts(OPEN, air, nozzle);
  await bench.wait(2_000);
  await bench.at('ProbeOpen');
  await bench.press();
  await bench.at('Waiting');
  module.setCounts(SHORTED, air, nozzle);
  await bench.wait(2_000);
  await bench.at('ProbeShort');
  await bench.press();
  await bench.at('Waiting');
  assert.equal(bench.chip.restarts, 0);
});

test('no display: all else goes on, and one that comes back shows the next change', async (t) => {
  const [bench, card] = await device(t, {}, { ...RECORDS, 'Ring.gcode': ring().text });
  bench.module.display.present = false;
  await bench.wait(1_500);
  await bench.insert(card);
  await bench.wait(3_000);
  assert.equal(bench.chip.restarts, 0);
  bench.module.display.present = true;
  await bench.press();
  await bench.at('Confirmation');
});

test('no clock chip: no times of day, and nothing else is missing', async (t) => {
  const [bench, card] = await device(t, {}, { ...RECORDS, 'Ring.gcode': ring().text });
  bench.module.clockChip.present = false;
  await bench.wait(1_500);
  await bench.at('Waiting');
  await bench.insert(card);
  await bench.at('Jobs');
  await bench.press();
  await bench.at('Confirmation');
  assert.equal(bench.chip.restarts, 0);
});

test('a card that is pulled while it is read makes room for another', async (t) => {
  const [bench, first, second] = await device(
    t,
    {},
    { ...RECORDS, 'Long.gcode': long(8_000) },
    { ...RECORDS, 'Ring.gcode': ring().text },
  );
  await bench.wait(1_500);
  await bench.insert(first);
  bench.module.press();
  const reads = bench.module.slot.counts.reads;
  bench.chip.run(60);
  assert.ok(bench.module.slot.counts.reads > reads, 'it is being read');
  await bench.sync();
  await bench.twins.ask('press');
  await bench.pull();
  // The twin reads a card at once, and had its verdict. The device had not: it says so until a press.
  await assert.rejects(bench.expect('no card'), 'it says that the card left too soon');
  bench.module.press();
  bench.chip.run(500);
  await bench.expect('no card');
  await bench.insert(second);
  await bench.at('Jobs');
  await bench.press();
  await bench.at('Confirmation');
});

test('a card that was never formatted: its line, and room for another', async (t) => {
  const [bench, blank, card] = await device(t, {}, null, { ...RECORDS, 'Ring.gcode': ring().text });
  await bench.wait(1_500);
  await bench.insert(blank);
  await bench.at('CardFault');
  // Out, and another one in its place.
  await bench.pull();
  await bench.insert(card);
  await bench.at('Jobs');
});

test('a block that cannot be read leaves no verdict, and the gate shut', async (t) => {
  const [bench, card] = await device(t, {}, { ...RECORDS, 'Worn.gcode': worn() });
  await bench.wait(1_500);
  await bench.insert(card, card.blockWith(UNREADABLE));
  await bench.at('Jobs');
  await bench.press();
  await bench.at('Confirmation');
  await bench.press();
  await bench.at('Point');
  await bench.hold(3_000);
  assert.equal(bench.gate, 'shut');
});

test('a display with an SH1106 shows the same', async (t) => {
  const [bench] = await device(t, { sh1106: true });
  await bench.wait(1_500);
  await bench.at('Waiting');
});

test('a card sets the clock, once somebody presses', async (t) => {
  const clock = { 'HOLDPT/CLOCK.JSN': '{"local":"2026-11-26T08:15"}' };
  const [bench, card] = await device(t, { wall: null }, { ...RECORDS, ...clock });
  const { module, chip } = bench;
  await bench.wait(1_500);
  await bench.at('Waiting');
  module.slot.insert(card.path);
  await bench.tells(['SET THE CLOCK TO', '2026-11-26', '08:15', 'Press when it is so.', 'No: turn the knob.', '']);
  assert.equal(module.clockChip.wall(), '-');
  module.press();
  await bench.tells(['CLOCK SET', '', 'Compare it with a', 'clock you trust.', '', '']);
  chip.rest(60_000);
  assert.match(module.clockChip.wall(), /^2026-11-26T08:16:0[0-2]$/);
});

test('a clock that does not answer is not told to be set', async (t) => {
  const clock = { 'HOLDPT/CLOCK.JSN': '{"local":"2026-11-26T08:15"}' };
  const [bench, card] = await device(t, {}, { ...RECORDS, ...clock });
  bench.module.clockChip.present = false;
  await bench.wait(1_500);
  bench.module.slot.insert(card.path);
  await bench.tells(['SET THE CLOCK TO', '2026-11-26', '08:15', 'Press when it is so.', 'No: turn the knob.', '']);
  bench.module.press();
  await bench.tells(['CLOCK NOT SET', '', 'The clock chip does', 'not answer. See its', 'wires and battery.', '']);
});
