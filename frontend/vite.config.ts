/** Every file in src/entries becomes one script of a page; the manifest says where it went. */
import { readdirSync } from "node:fs";
import { basename, join } from "node:path";
import { defineConfig } from "vitest/config";

const ENTRIES = join(import.meta.dirname, "src", "entries");

export default defineConfig({
  base: "/built/",
  publicDir: false,
  build: {
    outDir: "../src/causeline/web/assets/built",
    emptyOutDir: true,
    manifest: "manifest.json",
    modulePreload: { polyfill: false },
    assetsInlineLimit: 0,
    target: "es2023",
    rollupOptions: {
      input: Object.fromEntries(
        readdirSync(ENTRIES)
          .filter((file) => file.endsWith(".ts"))
          .map((file) => [basename(file, ".ts"), join(ENTRIES, file)]),
      ),
    },
  },
  test: { include: ["src/**/*.test.ts"], environment: "node" },
});
