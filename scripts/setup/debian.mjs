/**
 * The programs besides Node and Chromium that tests hold ours against: real counterparts (a broker, a
 * proxy, instruments' simulators) and independent readers of files. As root on a Debian they are
 * installed; elsewhere it is said which are missing and in which package Debian has them.
 */
import { existsSync } from "node:fs";
import { delimiter, join } from "node:path";
import { aptInstall, canInstall } from "./chromium.mjs";

/** @type {Readonly<Record<string, string>>} program → Debian's package */
export const COUNTERPARTS = {
  "redis-server": "redis-server",
  nginx: "nginx-light",
  exiftool: "libimage-exiftool-perl",
  exiv2: "exiv2",
  "heif-enc": "libheif-examples",
  pdftoppm: "poppler-utils",
  pdftotext: "poppler-utils",
  indiserver: "indi-bin",
  gphoto2: "gphoto2",
  gpsd: "gpsd",
  gpsfake: "gpsd-clients",
};

/** A user's PATH may lack the folders of daemons. */
const MORE = ["/usr/sbin", "/usr/local/sbin"];

/** The file of a program, or undefined. @param {string} name */
export function findProgram(name) {
  const folders = [...(process.env.PATH || "").split(delimiter), ...MORE];
  return folders.map((folder) => join(folder, name)).find((file) => existsSync(file));
}

/** @returns {string[]} the packages of what is not there */
export function missingPackages(find = findProgram) {
  return Object.keys(COUNTERPARTS)
    .filter((name) => !find(name))
    .map((name) => COUNTERPARTS[name] ?? name);
}

/**
 * Installs what is missing where it may, with `more` besides in the same go.
 * @param {string[]} [more] @returns {Promise<{ok: true} | {ok: false, message: string}>}
 */
export async function ensureCounterparts(more = []) {
  const wanted = [...more, ...missingPackages()];
  if (wanted.length > 0 && canInstall()) {
    console.log(`Installing for the tests: ${wanted.join(", ")} …`);
    await aptInstall(wanted);
  }
  const left = missingPackages();
  if (left.length === 0) return { ok: true };
  return {
    ok: false,
    message: `Tests need programs that are not here. On Debian: \`apt-get install ${left.join(" ")}\``,
  };
}
