import { defineConfig } from "vitest/config";

export default defineConfig({
  resolve: { alias: { overiron: new URL("./lib/mod.ts", import.meta.url).pathname } },
  test: {
    include: ["tests/**/*.test.ts"],
    pool: "forks",
    maxWorkers: 2,
    testTimeout: 60_000,
    hookTimeout: 120_000,
  },
});
