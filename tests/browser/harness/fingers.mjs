// Fingers on the page: several at once, as the browser hears them.

/** Puts fingers down at `from` and takes them to `to`, lists of places in the window, and lifts them. */
export async function fingers(page, from, to, { steps = 8, lift = true } = {}) {
  const session = await page.context().newCDPSession(page);
  const touch = (type, touchPoints) => session.send("Input.dispatchTouchEvent", { type, touchPoints });
  const between = (part) =>
    from.map((start, index) => ({
      id: index,
      x: start.x + (to[index].x - start.x) * part,
      y: start.y + (to[index].y - start.y) * part,
    }));
  // Fingers come down one after the other.
  for (let count = 1; count <= from.length; count += 1) await touch("touchStart", between(0).slice(0, count));
  for (let step = 1; step <= steps; step += 1) await touch("touchMove", between(step / steps));
  const up = async () => {
    await touch("touchEnd", []);
    await session.detach();
  };
  if (lift) await up();
  return up;
}

/** The middle of an element, brought into view. */
export async function middleOf(locator) {
  await locator.scrollIntoViewIfNeeded();
  const box = await locator.boundingBox();
  return { x: box.x + box.width / 2, y: box.y + box.height / 2, box };
}

/** Two fingers about the middle of an element, `apart` pixels apart and then `then` pixels. */
export async function pinch(page, locator, apart, then) {
  const { x, y } = await middleOf(locator);
  const at = (distance) => [
    { x: x - distance / 2, y },
    { x: x + distance / 2, y },
  ];
  await fingers(page, at(apart), at(then));
}
