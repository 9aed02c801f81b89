// Card images from the tools that everybody uses: mkfs.vfat, mmd, mcopy and fsck.vfat.

import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, utimesSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const BLOCK = 512;
/** KiB of an image: the least that is FAT32 by the count of its clusters, with clusters of a block. */
const FAT32_KIB = 34_816;
/** 2026-01-01 00:00 UTC, in seconds of Unix time. */
const FIRST = 1_767_225_600;

function run(tool, ...args) {
  // Debian keeps mkfs.vfat where only root looks.
  const path = `${process.env.PATH}:/usr/sbin:/sbin`;
  const env = { ...process.env, PATH: path, SOURCE_DATE_EPOCH: String(FIRST), TZ: 'UTC', MTOOLS_SKIP_CHECK: '1' };
  return execFileSync(tool, args, { env, stdio: ['ignore', 'pipe', 'pipe'] });
}

export class CardImage {
  /** A card with these files, path → text; each is a minute newer than the one before. `null` = never formatted, all zeros. */
  constructor(files) {
    this.folder = mkdtempSync(join(tmpdir(), 'holdpoint-card-'));
    this.path = join(this.folder, 'card.img');
    if (files === null) {
      writeFileSync(this.path, new Uint8Array(FAT32_KIB * 1024));
      return;
    }
    run('mkfs.vfat', '-F', '32', '-s', '1', '-C', this.path, String(FAT32_KIB));
    run('mmd', '-i', this.path, '::/HOLDPT');
    Object.entries(files).forEach(([path, text], number) => this.write(path, text, FIRST + 60 * number));
  }

  write(path, text, saved = FIRST) {
    const source = join(this.folder, 'source');
    writeFileSync(source, text);
    utimesSync(source, saved, saved);
    run('mcopy', '-o', '-m', '-i', this.path, source, `::/${path}`);
  }

  /** The text of a file on it. */
  read(path) {
    const copy = join(this.folder, 'copy');
    run('mcopy', '-n', '-o', '-i', this.path, `::/${path}`, copy);
    return readFileSync(copy, 'utf8');
  }

  /** The block that begins with this text. */
  blockWith(text) {
    const bytes = readFileSync(this.path);
    const at = bytes.indexOf(text);
    if (at < 0 || at % BLOCK !== 0) throw new Error(`no block of the card begins with ${text}`);
    return at / BLOCK;
  }

  /** Fails when fsck.vfat finds something to mend. */
  check() {
    run('fsck.vfat', '-n', this.path);
  }

  remove() {
    rmSync(this.folder, { recursive: true });
  }
}
