/**
 * Whether this Node is one that package.json's "engines" names. Only the form used there is
 * understood: caret ranges joined by "||" ("^20.19 || ^22.12 || ^24").
 */

/** @param {string} version "20.19.4" @param {string} range @returns {boolean} */
export function nodeFits(version, range) {
  const have = numbersOf(version);
  return range.split("||").some((part) => {
    const want = numbersOf(part.trim().replace("^", ""));
    if (have[0] !== want[0]) return false;
    if (have[1] !== want[1]) return have[1] > want[1];
    return have[2] >= want[2];
  });
}

/** What to tell the person, or null when all is well. @param {string} version @param {string} range */
export function nodeComplaint(version, range) {
  if (nodeFits(version, range)) return null;
  const wanted = range
    .split("||")
    .map((part) => part.trim().replace("^", ""))
    .join(", ");
  return (
    `Noonfall needs Node.js ${wanted} or a later release of one of these lines; ` +
    `this is Node.js ${version}. Install a fitting one (nodejs.org) and start again.`
  );
}

/** @param {string} version @returns {[number, number, number]} */
function numbersOf(version) {
  const parts = version.split(".").map((part) => Number.parseInt(part, 10) || 0);
  return [parts[0] || 0, parts[1] || 0, parts[2] || 0];
}
