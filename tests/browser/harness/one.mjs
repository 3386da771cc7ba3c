// One test: within its time, cleaned up after, told in a line.

/**
 * Runs `body` and says how it ended; whether it passed. Whatever it opens it hands to the function
 * that it is given, and that is closed however the test ends.
 */
export async function runOne(name, longestMs, body) {
  const clean = [];
  const afterwards = (action) => clean.unshift(action);
  let timer;
  const limit = new Promise((_, fail) => {
    timer = setTimeout(() => fail(new Error(`took longer than ${longestMs / 1000} s`)), longestMs);
  });
  try {
    await Promise.race([body(afterwards), limit]);
    console.log(`ok      ${name}`);
    return true;
  } catch (error) {
    console.log(`FAILED  ${name}\n${error.stack ?? error}`);
    return false;
  } finally {
    clearTimeout(timer);
    for (const action of clean) await action();
  }
}
