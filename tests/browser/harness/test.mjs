// The tests that the spec files declare, in order.

/** @type {{ name: string, body: (tools: object) => Promise<void> }[]} */
export const collected = [];

/**
 * Declares a test. Its name is a sentence; its body gets `{ browser, afterwards }`.
 */
export function test(name, body) {
  if (collected.some((other) => other.name === name)) {
    throw new Error(`two tests have the name "${name}"`);
  }
  collected.push({ name, body });
}
