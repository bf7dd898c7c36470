#!/usr/bin/env node
/**
 * Makes the spoken clips of the rig page: console/rig/clips/<language>/*.mp3 and a manifest that
 * says what each file says. They are committed, so that nobody needs a voice to run Noonfall;
 * run this again when the words of cues change (a test compares manifest and catalogue); languages
 * as arguments make only theirs.
 *
 * Needs, from Debian: espeak-ng, flite, sox, lame. Voices: flite's "slt" for English (clearer),
 * espeak-ng for Spanish, French and Arabic (the best that Debian's main archive offers).
 * MP3, mono, 16 kHz, 16 kbit/s: every browser decodes it.
 */
import { execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const root = join(dirname(fileURLToPath(import.meta.url)), "..");
const words = join(root, "console", "words");
const clips = join(root, "console", "rig", "clips");

/**
 * What is spoken by clip: what comes in the minutes around totality, and what must never fail.
 * All other words are said by the phone's own speech synthesis.
 */
const KEYS = [
  "rig.say.ready",
  "rig.say.cover",
  "cue.filter-off",
  "cue.filter-off.touch",
  "cue.filter-off.by-eye",
  "cue.filter-on",
  "cue.filter-on.touch",
  "cue.bead-before",
  "cue.bead-after",
  "cue.burst-before",
  "cue.burst-after",
  "cue.corona-brackets",
  "cue.look-up",
  "cue.look-up-leave",
  "cue.eyes-away",
  "cue.glasses-on",
  "cue.short-exposure",
  "cue.partial-after",
  "cue.filter-stays",
  "cue.anyFilter.touch",
  "cue.held.stay",
  "cue.held.too-late",
];

/** Arabic is written without its short vowels; the voice needs them. By key, same words. */
const VOWELLED = /** @type {Record<string, string>} */ ({
  "rig.say.ready": "اِسْتَعِدّ.",
  "rig.say.cover": "غَطُّوا كُلَّ العَدَسَات. ضَعُوا النَّظَّارَات.",
  "cue.filter-off": "اِنْزِعِ المُرَشِّح.",
  "cue.filter-off.touch": "اِلْمَسِ المُرَشِّحَ وَاتْرُكْهُ فِي مَكَانِهِ.",
  "cue.filter-off.by-eye": "بِالعَيْنِ فَقَط: اِنْزِعِ المُرَشِّحَ عِنْدَمَا تَرَى الكُسُوفَ الكُلِّيّ.",
  "cue.filter-on": "ضَعِ المُرَشِّح.",
  "cue.filter-on.touch": "اِلْمَسِ المُرَشِّح، إِنَّهُ فِي مَكَانِهِ.",
  "cue.bead-before": "تَعْرِيضُ الحَبَّات. اليَدُ جَاهِزَة.",
  "cue.bead-after": "تَعْرِيضُ الحَبَّات.",
  "cue.burst-before": "اِبْدَأِ اللَّقَطَاتِ المُتَتَابِعَة.",
  "cue.burst-after": "اِخْفِضْ بَصَرَك. لَقَطَاتٌ مُتَتَابِعَة.",
  "cue.corona-brackets": "سِلْسِلَةُ تَعْرِيضِ الإِكْلِيل.",
  "cue.look-up": "اُنْظُرْ إِلَى الأَعْلَى.",
  "cue.look-up-leave": "اُتْرُكِ العَدَسَةَ العَيْنِيَّة. اُنْظُرْ إِلَى الأَعْلَى.",
  "cue.eyes-away": "أَبْعِدْ عَيْنَيْكَ عَنِ البَصَرِيَّات.",
  "cue.glasses-on": "ضَعِ النَّظَّارَة.",
  "cue.short-exposure": "تَعْرِيضٌ قَصِير.",
  "cue.partial-after": "هَلِ المُرَشِّحُ فِي مَكَانِهِ؟ تَعْرِيضٌ جُزْئِيّ.",
  "cue.filter-stays": "المُرَشِّحُ يَبْقَى.",
  "cue.anyFilter.touch": "اِلْمَسِ المُرَشِّحَ وَاتْرُكْهُ فِي مَكَانِهِ.",
  "cue.held.stay": "أَبْقِ المُرَشِّح. هٰكَذَا قَالَ القَائِد.",
  "cue.held.too-late": "فَاتَ وَقْتُ الفَتْح. المُرَشِّحُ يَبْقَى.",
});
/** Short vowels and the like (Unicode 064B–0652, 0670), and what is written with or without them. */
const bare = (/** @type {string} */ text) =>
  text.replace(/[\u064b-\u0652\u0670]/g, "").replace(/[أإآا]/g, "ا");

const SPEAK = {
  en: (text, wav) => run("flite", ["-voice", "slt", "--setf", "duration_stretch=0.9", "-t", text, "-o", wav]),
  es: (text, wav) => run("espeak-ng", ["-v", "es", "-s", "180", "-w", wav, text]),
  fr: (text, wav) => run("espeak-ng", ["-v", "fr-fr", "-s", "175", "-w", wav, text]),
  ar: (text, wav) => run("espeak-ng", ["-v", "ar", "-s", "165", "-w", wav, text]),
};

const work = mkdtempSync(join(tmpdir(), "noonfall-clips-"));
try {
  const wanted = process.argv.slice(2);
  const unknown = wanted.filter((language) => !Object.hasOwn(SPEAK, language));
  if (unknown.length > 0) throw new Error(`no such language: ${unknown.join(", ")}`);
  for (const language of wanted.length > 0 ? wanted : Object.keys(SPEAK)) buildLanguage(language);
} finally {
  rmSync(work, { recursive: true, force: true });
}

/** @param {string} language */
function buildLanguage(language) {
  // Whatever part of the catalogue the words stand in.
  const parts = readdirSync(join(words, language)).filter((name) => name.endsWith(".json"));
  const catalogue = Object.assign(
    {},
    ...parts.map((name) => JSON.parse(readFileSync(join(words, language, name), "utf8"))),
  );
  const folder = join(clips, language);
  rmSync(folder, { recursive: true, force: true });
  mkdirSync(folder, { recursive: true });
  /** @type {Record<string, string>} */
  const made = {};
  /** Two keys with the same words share the file of the first. @type {Set<string>} */
  const said = new Set();
  let bytes = 0;
  for (const key of KEYS) {
    const text = catalogue[key];
    if (typeof text !== "string") throw new Error(`${language}: no words for ${key}`);
    if (!said.has(text)) {
      said.add(text);
      const file = `${key.replaceAll(".", "-")}.mp3`;
      bytes += render(language, language === "ar" ? vowelled(key, text) : text, join(folder, file));
    }
    made[key] = text;
  }
  writeFileSync(join(folder, "manifest.json"), `${JSON.stringify({ clips: made }, null, 2)}\n`);
  console.log(`${language}: ${said.size} clips, ${(bytes / 1000).toFixed(1)} kB`);
}

/** @param {string} key @param {string} text @returns {string} */
function vowelled(key, text) {
  const spoken = VOWELLED[key];
  if (!spoken || bare(spoken) !== bare(text)) {
    throw new Error(`ar: give "${key}" its vowels again, its words have changed: ${text}`);
  }
  return spoken;
}

/** @param {string} language @param {string} text @param {string} file */
function render(language, text, file) {
  const raw = join(work, "raw.wav");
  const clean = join(work, "clean.wav");
  SPEAK[/** @type {keyof typeof SPEAK} */ (language)](text, raw);
  // Silence cut at both ends, loudness evened out, below full scale.
  const edge = ["silence", "1", "0.01", "0.5%"];
  run("sox", [
    ...[raw, "-r", "16000", "-c", "1", clean],
    ...edge,
    "reverse",
    ...edge,
    "reverse",
    ...["highpass", "120", "compand", "0.02,0.1", "6:-50,-24,-20,-10,0,-3", "0", "-60", "0.05"],
    ...["norm", "-0.1", "pad", "0", "0.08"],
  ]);
  run("lame", ["--quiet", "-m", "m", "-b", "16", "--cbr", "--noreplaygain", clean, file]);
  return statSync(file).size;
}

/** @param {string} program @param {string[]} args */
function run(program, args) {
  try {
    execFileSync(program, args, { stdio: ["ignore", "ignore", "pipe"] });
  } catch (cause) {
    throw new Error(`${program} failed; install espeak-ng, flite, sox and lame`, { cause });
  }
}
