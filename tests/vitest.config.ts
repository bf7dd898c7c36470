import { fileURLToPath } from "node:url";
import { defineConfig } from "vitest/config";
import { wordsPlugin } from "../scripts/setup/vite/words.ts";

export default defineConfig({
  root: fileURLToPath(new URL("..", import.meta.url)),
  plugins: [wordsPlugin()],
  test: {
    include: ["tests/**/*.test.ts", "tests/**/*.test.tsx"],
    exclude: ["tests/browser/**"],
    testTimeout: 60_000,
    hookTimeout: 120_000,
    teardownTimeout: 20_000,
    pool: "forks",
    maxWorkers: 2,
  },
});
