// The records and the job of these tests: an invented machine in an invented room, and a ring that is printed in seven minutes: the
// first five of a run are watched, and two are left of it.

export const MACHINE =
  '{"tag":"BENCH-2","bed_mm":[200,200],"height_mm":180,"nozzle_max_c":260,"bed_max_c":100,"bore_um":400}';
export const ROOM = '{"language":"de"}';
const SPOOL = {
  id: 'S-07',
  material: 'PLA',
  diameter_um: 1750,
  density_mg_cm3: 1240,
};

/** A ticket of a spool on which so much is left. */
export const spool = (left_mg) => JSON.stringify({ ...SPOOL, left_mg });

const LAYERS = 15;
const WALLS = 3;
const LAYER_MM = 0.2;
const BEAD_MM = 0.45;
/** Filament for a millimetre of bead: 0.45 mm · 0.2 mm / 2.405 mm². */
const FILAMENT = (BEAD_MM * LAYER_MM) / (Math.PI * 0.875 ** 2);

/** Square walls, one inside the other. The bed is so little warm that the plate has cooled in a minute or two. */
export function ring() {
  let used = 0;
  let moves = '';
  for (let layer = 1; layer <= LAYERS; layer++) {
    moves += `G1 Z${(LAYER_MM * layer).toFixed(1)} F600\nG0 X60 Y60 F6000\n`;
    for (let wall = 0; wall < WALLS; wall++) {
      const [low, high] = [60 + BEAD_MM * wall, 120 - BEAD_MM * wall];
      const e = ((high - low) * FILAMENT).toFixed(4);
      for (const [x, y] of [[high, low], [high, high], [low, high], [low, low]]) {
        moves += `G1 X${x.toFixed(2)} Y${y.toFixed(2)} E${e} F1500\n`;
        used += Number(e);
      }
    }
  }
  const header = { material: 'PLA', diameter_um: 1750, nozzle_c: 210, bed_c: 45, length_mm: Math.round(used) };
  const text =
    `; job-header 1\n; ${JSON.stringify(header)}\n; end-header\nM140 S45\nM104 S210\nM190 S45\nM109 S210\nG28\nG90\nM83\nG92 E0\n` +
    `${moves}G1 E-2 F1800\nG1 Z30 F600\nG0 X0 Y190 F6000\nM104 S0\nM140 S0\nM106 S0\nM84\n`;
  // Density 1.24 g/cm³ is 1.24 mg/mm³.
  return { text, milligrams: used * Math.PI * 0.875 ** 2 * 1.24 };
}

/** Where a block of `worn` begins. */
export const UNREADABLE = ';UNREADABLE BLOCK';

/** The ring, with comments in its midst; one of them begins with a block, apart from both ends, which are read for comments. */
export function worn() {
  const AT = 100 << 10;
  const { text } = ring();
  const half = text.indexOf('G1 Z0.4');
  const comments = (bytes) => `;${'-'.repeat(62)}\n`.repeat(bytes / 64);
  let job = text.slice(0, half) + comments(AT - half - 64);
  job += `;${'-'.repeat(AT - job.length - 2)}\n${UNREADABLE}\n`;
  return job + comments(AT) + text.slice(half);
}

/** A job that takes a while to read: straight lines, to and fro. */
export function long(lines) {
  let text = 'G21\nG90\nM83\nM140 S60\nM104 S210\nG28\nM190 S60\nM109 S210\nG92 E0\nG1 Z0.2 F600\n';
  for (let line = 0; line < lines; line++) text += `G1 X${40 + (line % 2) * 100} Y${(40 + line * 0.01).toFixed(2)} E3.7420 F3000\n`;
  return text;
}
