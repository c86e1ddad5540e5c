import { defineConfig } from 'vitest/config'

/** Two projects: everything that runs in Node, and what needs a real Chromium (one file at a time: timings matter there). */
export default defineConfig({
  test: {
    projects: [
      {
        test: {
          name: 'node',
          include: ['tests/{unit,reference,property}/**/*.test.ts'],
          testTimeout: 60_000,
          // Unset, one core stays idle: half of them, where a landing is judged. Nothing here is timed.
          maxWorkers: '100%',
        },
      },
      {
        test: {
          name: 'e2e',
          include: ['tests/e2e/**/*.test.ts'],
          globalSetup: ['tests/e2e/pagesbuilt.ts'],
          testTimeout: 60_000,
          hookTimeout: 120_000,
          fileParallelism: false,
        },
      },
    ],
  },
})
