// Builds the screens into dist/, which the window embeds and `dishwright serve` hands out.
import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vitest/config';

export default defineConfig({
  plugins: [svelte()],
  // Relative, because the window and the server serve the files under different addresses.
  base: './',
  build: {
    target: 'es2022',
    // The content policy allows no data: addresses for fonts and scripts, so nothing is inlined.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
  },
  server: {
    // `dishwright serve` answers while the screens are worked on.
    proxy: { '/api': process.env['DISHWRIGHT_SERVE'] ?? 'http://127.0.0.1:8734' },
  },
  test: { include: ['src/**/*.test.ts'] },
});
