// A whole job on board two: the same device from a blank ledger to a row in the day book, through a loop that stands still and a
// power cut. In German. The glass is compared with the core on the desktop at every step.

import assert from 'node:assert/strict';
import { writeFileSync } from 'node:fs';
import { after, test } from 'node:test';
import { Bench, TARGET } from './bench.mjs';
import { CardImage } from './card_image.mjs';
import { events, rows } from './day_book.mjs';
import { MACHINE, ROOM, ring, spool } from './jobs.mjs';

/** Just above what rounds to 411 g, so that the job's gram is seen. */
const LEFT_MG = 411_600;
const job = ring();
const card = new CardImage({
  'HOLDPT/MACHINE.JSN': MACHINE,
  'HOLDPT/SPOOL.JSN': spool(LEFT_MG),
  'HOLDPT/ROOM.JSN': ROOM,
  'Ring.gcode': job.text,
});
const bench = new Bench({ wall: '2026-11-25T14:42:00' });
const { module, chip } = bench;
after(() => {
  bench.end();
  card.remove();
});

/** What the first start of a machine asks, and what is there. */
const AROUND = {
  'Sticker?': 'PLA',
  'OuterTurn?': 'TurnsFreely',
  'Plate?': 'Bare',
  'Pins?': 'TwoPins',
  'Around?': 'AroundClear',
};
const said = () => bench.twins.said;
const inPhase = (phase) => (now) => now.phase === phase;

/** Steps build on each other: after one that failed the others would tell nothing. */
let failed = false;
function step(name, body) {
  test(name, async (t) => {
    if (failed) return t.skip('a step before it failed');
    failed = true;
    const began = Date.now();
    await body();
    failed = false;
    const seconds = ((Date.now() - began) / 1000).toFixed(1);
    t.diagnostic(`${seconds} s; at ${(chip.allMs / 1000).toFixed(0)} s of its time, ${said().phase}, gate ${bench.gate}`);
  });
}

step('starts with a blank ledger and no card', async () => {
  await bench.wait(1_500);
  await bench.at('Waiting');
  assert.equal(chip.counts.erases, 0, 'blank flash needs no erasing');
  assert.deepEqual(module.gateMoves, []);
});

step('reads the card: the job is clear by every check', async () => {
  await bench.insert(card);
  await bench.at('Jobs');
  await bench.read();
  await bench.at('Confirmation');
  await bench.read();
  assert.equal(said().phase, 'Walk', 'nothing is pointed at');
});

step('asks around the machine', async () => {
  const asked = [];
  while (said().page in AROUND) {
    asked.push(said().page);
    await bench.answer(AROUND[said().page]);
  }
  assert.deepEqual(asked, Object.keys(AROUND));
  assert.equal(bench.twins.all.length, 1, 'the screens tell in which order the answers stand');
});

step('opens the gate for a press and hold, and for nothing less', async () => {
  await bench.at('Release');
  await bench.press();
  await bench.expect('after a press');
  await bench.hold(500);
  await bench.at('Release');
  assert.deepEqual(module.gateMoves, []);
  await bench.hold(2_000);
  // The start is kept in the ledger first.
  await bench.wait(500);
  assert.deepEqual(module.gateMoves.map((move) => move.to), ['open']);
  await bench.expect('gate open');
});

step('the card goes to the printer', async () => {
  await bench.pull();
  await bench.expect('card out');
  if (said().page === 'MoveCard') await bench.read();
  await bench.answer('SameJob');
  assert.equal(said().phase, 'WarmUp');
});

step('warms up by its probes', async () => {
  await bench.heatTo({ plate: 45, nozzle: 210 }, { plate: 1, nozzle: 5 });
  await bench.until('warm', inPhase('FirstLayer'), 900);
});

step('watches the first layer', async () => {
  await bench.until('strip', ({ page }) => page === 'Strip?', 300);
  await bench.answer('Solid');
  await bench.until('watch', ({ page }) => page === 'Watch', 60);
  await bench.until('first layer', ({ page }) => page === 'FirstLayer?', 400);
  await bench.answer('Good');
  if (said().page === 'MayLeave') await bench.read();
  assert.equal(said().phase, 'Run');
});

step('a bus that hangs in the run leaves run and gate as they are', async () => {
  const moves = module.gateMoves.length;
  module.bus.hangs = true;
  await bench.wait(20_000);
  module.bus.hangs = false;
  // Its clock is asked again once a second.
  await bench.wait(1_500);
  await bench.expect('the run');
  assert.equal(said().phase, 'Run');
  assert.equal(chip.restarts, 0);
  assert.equal(module.gateMoves.length, moves);
});

step('a loop that stands still starts anew, shows its code, and goes on with the run', async () => {
  const moves = module.gateMoves.length;
  chip.hang();
  const hung = chip.allMs;
  while (chip.restarts === 0) {
    assert.ok(chip.allMs - hung < 12_000, 'the watchdog does not come');
    chip.spin(50);
  }
  await bench.restarted();
  await bench.tells([
    'RESTARTED BY A FAULT', 'W-00000000', 'Look at the machine:', 'it may be hot or run.', 'Note the code.', 'Press: go on',
  ]);
  // Shut by the reset, and open again as soon as the ledger told of the run.
  const [shut, open, ...more] = module.gateMoves.slice(moves);
  assert.deepEqual([shut.to, open.to, more], ['shut', 'open', []]);
  assert.ok(open.ms - shut.ms < 1_000, `shut for ${open.ms - shut.ms} ms`);
  assert.ok(shut.ms - hung > 7_900 && shut.ms - hung < 8_100, `after ${shut.ms - hung} ms`);
  module.press();
  await bench.sync();
  await bench.at('PowerBack');
  await bench.read();
  await bench.answer('Prints');
  assert.equal(said().phase, 'Run');
});

step('a power cut: the same, without a fault', async () => {
  const moves = module.gateMoves.length;
  await bench.wait(5_000);
  module.cutPower(20_000);
  await bench.restarted();
  await bench.wait(1_000);
  await bench.at('PowerBack');
  assert.deepEqual(module.gateMoves.slice(moves).map((move) => move.to), ['shut', 'open']);
  await bench.read();
  await bench.answer('Prints');
  assert.equal(said().phase, 'Run');
});

step('the run ends as told', async () => {
  await bench.until('end', ({ page }) => page === 'ShouldBeDone', 600);
  await bench.read();
  await bench.answer('Ended');
  assert.equal(said().phase, 'CoolDown');
  await bench.at('Cooling');
});

step('cools down by its probes', async () => {
  await bench.heatTo({ plate: 24, nozzle: 30 }, { plate: 0.2, nozzle: 2 }, () => said().phase !== 'CoolDown');
  assert.equal(said().phase, 'Plate');
  await bench.at('MayLift');
  assert.ok(bench.heat.plate < 43, `at ${bench.heat.plate} °C`);
});

step('closes out, and writes to the card', async () => {
  await bench.read();
  await bench.answer('Off');
  await bench.answer('TwoPins');
  await bench.answer('Good');
  await bench.insert(card);
  await bench.wait(2_000);
  await bench.expect('free again');
  await bench.pull();
  await bench.wait(1_000);
  await bench.at('Waiting');
  assert.equal(bench.gate, 'open', 'the hot end is hot');
});

step('shuts the gate once nothing is hot', async () => {
  await bench.heatTo({ plate: 24, nozzle: 24 }, { plate: 1, nozzle: 5 });
  await bench.until('shut', ({ gate }) => gate === 'Shut', 900);
  await bench.wait(200);
  assert.equal(bench.gate, 'shut');
});

step('the card holds two rows and the events, and is sound', () => {
  const [begun, ended, ...more] = rows(card.read('HOLDPT/DAYBOOK.CSV'));
  assert.deepEqual(more, []);
  for (const row of [begun, ended]) {
    assert.equal(row.machine, 'BENCH-2');
    assert.equal(row.job_name, 'Ring.gcode');
    assert.equal(row.spool_id, 'S-07');
    assert.equal(row.grade, 'PLA');
    assert.equal(row.job_bytes, String(job.text.length));
  }
  assert.deepEqual([begun.closed_out, ended.closed_out, ended.result], ['0', '1', 'good']);
  const all = events(card.read('HOLDPT/EVENTS.JSL'));
  assert.ok(all.length > 0);
  const left = (LEFT_MG - job.milligrams) / 1_000;
  assert.ok(Math.abs(Number(ended.left_g) - left) < 0.1, `${ended.left_g} g of ${left.toFixed(2)} g are left`);
  card.check();
});

step('the balance outlives the power', async () => {
  await bench.at('Waiting');
  const before = module.display.frame();
  module.cutPower(60_000);
  await bench.restarted();
  await bench.wait(1_000);
  await bench.at('Waiting');
  assert.deepEqual(module.display.frame(), before);
});

step('tells how much stack all of it used', () => {
  const used = chip.stackUsed();
  assert.ok(used > 0 && used < chip.stackRoom, `${used} of ${chip.stackRoom} bytes`);
  // `.ci/chip` holds it against the ceiling in firmware/sizes.toml.
  writeFileSync(`${TARGET}/rp2040-stack`, String(used));
});
