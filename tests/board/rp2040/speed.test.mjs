// How long board two takes for a card and for a job, by its own clock and the line's, and where the time goes. Printed; held below
// the ceilings of firmware/sizes.toml.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { after, test } from 'node:test';
import { TARGET } from './bench.mjs';
import { CardImage } from './card_image.mjs';
import { readElf } from './elf.mjs';
import { MACHINE, ROOM, ring, spool } from './jobs.mjs';
import { Module } from './module.mjs';

const elf = readElf(`${TARGET}/thumbv6m-none-eabi/firmware/rp2040`);
const FILES = 200;
const JOB_BYTES = 1 << 20;
/** Enough layers of long lines that their start tells little. */
const ROWS_BYTES = 1 << 18;
/** Of the line to the card once it runs fast, Hz (firmware, board two: a tenth of the chip's clock). */
const LINE_HZ = 12.5e6;
/** The card counts as read when nothing more is read for so long, ms of the chip's time. */
const QUIET_MS = 400;
/** Between two looks at the processor, ms. */
const LOOK_MS = 0.02;

/** Parts by the names of functions; what the compiler put into another function counts there. */
const PARTS = {
  survey: /survey|motion|holdpoint_shared4text/,
  arithmetic: /aeabi|compiler_builtins|__udiv|__mul|clzsi|units/,
  drawing: /screens|embedded_graphics|5words|page_oled|i2c/,
  'card and its CRC': /sd_card|sdcard|sdmmc|spi/i,
  'file system': /media|fat/,
};
const part = (name) => Object.keys(PARTS).find((key) => PARTS[key].test(name)) ?? 'the rest';

/** A job of a size: the ring's start and end, and layer on layer of what `layer` lays. */
function stacked(bytes, layer) {
  const { text } = ring();
  const [head, tail] = [text.indexOf('G1 Z0.2'), text.lastIndexOf('G1 E-2')];
  let body = '';
  for (let number = 1; body.length < bytes; number++) body += `G1 Z${(0.2 * number).toFixed(1)} F600\n${layer()}`;
  return text.slice(0, head) + body + text.slice(tail);
}

/** Round walls in moves of 1.5 mm, the usual length of a curve's. */
function curves() {
  let body = '';
  for (let radius = 30; radius > 20; radius -= 0.45) {
    const steps = Math.round((2 * Math.PI * radius) / 1.5);
    body += `G0 X${(90 + radius).toFixed(3)} Y90 F6000\nG1 F1500\n`;
    for (let step = 1; step <= steps; step++) {
      const [x, y] = [Math.cos, Math.sin].map((of) => (90 + radius * of((2 * Math.PI * step) / steps)).toFixed(3));
      body += `G1 X${x} Y${y} E0.05613\n`;
    }
  }
  return body;
}

/** A square of 60 mm filled with straight lines from side to side. */
function rows() {
  let body = 'G0 X60 Y60 F6000\nG1 F1500\n';
  for (let row = 0; row < 120; row++) {
    const y = 60 + row / 2;
    body += `G1 X${row % 2 ? 60 : 120} Y${y.toFixed(3)} E2.2452\nG1 Y${(y + 0.5).toFixed(3)} E0.0187\n`;
  }
  return body;
}

/** Runs until the card rests; what it took. */
function read(module, sampled) {
  const { chip, slot } = module;
  const [began, bytes] = [chip.ms, slot.counts.bytes];
  let [reads, last, lastBytes] = [slot.counts.reads, began, bytes];
  const shares = {};
  while (chip.ms - last < QUIET_MS) {
    chip.run(sampled ? LOOK_MS : 1);
    if (slot.counts.reads !== reads) [reads, last, lastBytes] = [slot.counts.reads, chip.ms, slot.counts.bytes];
    if (sampled && !chip.mcu.core.waiting) {
      const key = part(elf.nameAt(chip.mcu.core.PC));
      shares[key] = (shares[key] ?? 0) + 1;
    }
  }
  const lineMs = ((lastBytes - bytes) * 8_000) / LINE_HZ;
  return { chipMs: last - began, lineMs, allMs: last - began + lineMs, shares };
}

const ceiling = (key) => {
  const found = new RegExp(`^${key} = ([0-9_]+)`, 'm').exec(readFileSync(new URL('../../../firmware/sizes.toml', import.meta.url), 'utf8'));
  assert.ok(found, `firmware/sizes.toml has no ${key}`);
  return Number(found[1].replaceAll('_', ''));
};

function tell(t, what, { chipMs, lineMs, allMs, shares }, key) {
  t.diagnostic(`${what}: ${allMs.toFixed(0)} ms of at most ${ceiling(key)} (chip ${chipMs.toFixed(0)}, line ${lineMs.toFixed(0)})`);
  const all = Object.values(shares).reduce((sum, count) => sum + count, 0);
  const sorted = Object.entries(shares).sort(([, a], [, b]) => b - a);
  for (const [name, count] of sorted) t.diagnostic(`  ${((100 * count) / all).toFixed(0)} % ${name}`);
  assert.ok(allMs <= ceiling(key), `${what}: ${allMs} ms`);
}

function started(files) {
  const card = new CardImage({ 'HOLDPT/MACHINE.JSN': MACHINE, 'HOLDPT/SPOOL.JSN': spool(900_000), 'HOLDPT/ROOM.JSN': ROOM, ...files });
  const module = new Module(elf, { wall: '2026-11-25T14:42:00' });
  after(() => {
    module.slot.pull();
    card.remove();
  });
  module.chip.run(1_500);
  return { module, card };
}

test('lists 200 jobs and gives their first verdicts', (t) => {
  const { text } = ring();
  const files = Object.fromEntries(Array.from({ length: FILES }, (_, n) => [`Part${n}.gcode`, text]));
  const { module, card } = started(files);
  module.slot.insert(card.path);
  tell(t, `${FILES} jobs, card in to first verdicts`, read(module, false), 'card_in_ms');
});

function vetted(text) {
  const { module, card } = started({ 'Large.gcode': text });
  module.slot.insert(card.path);
  read(module, false);
  module.press();
  return read(module, true);
}

test('reads a job of a megabyte to its full verdict', (t) => {
  const text = stacked(JOB_BYTES, curves);
  const found = vetted(text);
  tell(t, `a job of ${(text.length / 1e6).toFixed(2)} MB, press to full verdict`, found, 'full_verdict_ms');
  t.diagnostic(`scaled to 5 MB: ${((found.allMs * 5e6) / text.length / 1000).toFixed(1)} s`);
  const all = Object.values(found.shares).reduce((sum, count) => sum + count, 0);
  const percent = (100 * (found.shares.drawing ?? 0)) / all;
  assert.ok(percent <= ceiling('drawing_percent'), `drawing takes ${percent} % of the processor's time`);
});

test('reads long straight lines to their full verdict', (t) => {
  const text = stacked(ROWS_BYTES, rows);
  const found = vetted(text);
  tell(t, `${(text.length / 1e6).toFixed(2)} MB of lines of 60 mm, press to full verdict`, found, 'long_lines_ms');
  t.diagnostic(`scaled to 1 MB: ${((found.allMs * 1e6) / text.length / 1000).toFixed(1)} s`);
});
