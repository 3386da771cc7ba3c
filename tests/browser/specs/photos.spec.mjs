import assert from "node:assert/strict";
import { mkdtemp, open, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "../harness/test.mjs";
import { assertQuiet, openSaved, openServed, PHONE, reload } from "../harness/open.mjs";
import { axe, fitsGloves, noHorizontalScroll, readsText } from "../harness/act.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";
import { SetUp } from "../pages/set-up.mjs";

/** Opens the photos of the first demo. */
async function openPhotos(tools, options, how = openServed) {
  const opened = await how(tools, options);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.skipFirstSteps();
  const setUp = new SetUp(evenstroke);
  await setUp.open();
  await setUp.step("Photos");
  return { opened, evenstroke, setUp };
}

/** A picture painted by the browser, left half red, right half blue, with noise so that it weighs something. */
async function painted(page, width, height, type = "image/jpeg") {
  const base64 = await page.evaluate(
    ([width, height, type]) => {
      const canvas = document.createElement("canvas");
      [canvas.width, canvas.height] = [width, height];
      const paint = canvas.getContext("2d");
      paint.fillStyle = "#c00";
      paint.fillRect(0, 0, width / 2, height);
      paint.fillStyle = "#00c";
      paint.fillRect(width / 2, 0, width / 2, height);
      for (let dot = 0; dot < 20_000; dot += 1) {
        paint.fillStyle = `hsl(${(dot * 137) % 360} 80% 50%)`;
        if (width > 500) paint.fillRect((dot * 7919) % width, (dot * 104_729) % height, 9, 9);
      }
      return canvas.toDataURL(type, 0.9).split(",")[1];
    },
    [width, height, type],
  );
  return Buffer.from(base64, "base64");
}

/** The same JPEG, said to be turned a quarter (Exif 2.32, tag 0x0112: 6 is "turn clockwise to see it upright"). */
function turned(jpeg) {
  const tiff = Buffer.from([
    0x4d, 0x4d, 0, 42, 0, 0, 0, 8, 0, 1, 0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, 6, 0, 0, 0, 0, 0, 0,
  ]);
  const body = Buffer.concat([Buffer.from("Exif\0\0", "latin1"), tiff]);
  const head = Buffer.from([0xff, 0xe1, 0, body.length + 2]);
  return Buffer.concat([jpeg.subarray(0, 2), head, body, jpeg.subarray(2)]);
}

const choose = ({ setUp }, name, mimeType, buffer) =>
  setUp.dialog.getByLabel("Choose a picture").setInputFiles({ name, mimeType, buffer });

/** Size of a photo as it is kept, and the colour at its upper end. */
async function shown({ setUp }, index = 1) {
  const image = setUp.entry(`Photo ${index}`).getByRole("img").first();
  await image.waitFor();
  return image.evaluate(async (image) => {
    await image.decode();
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [image.naturalWidth, image.naturalHeight];
    const paint = canvas.getContext("2d");
    paint.drawImage(image, 0, 0);
    const [red, , blue] = paint.getImageData(image.naturalWidth / 2, 2, 1, 1).data;
    return { width: image.naturalWidth, height: image.naturalHeight, top: red > blue ? "red" : "blue", length: image.src.length };
  });
}

test("a photo is made small, kept with the job and described", async (tools) => {
  const view = await openPhotos(tools);
  const { opened, evenstroke, setUp } = view;
  await choose(view, "plate.jpg", "image/jpeg", await painted(opened.page, 4000, 3000));
  const kept = await shown(view);
  assert.deepEqual([Math.max(kept.width, kept.height) <= 1280, kept.width / kept.height > 1.3], [true, true]);
  assert(kept.length <= 320_000, `${kept.length} characters`);
  const photo = setUp.entry("Photo 1");
  assert.equal(await setUp.field("Name", photo).inputValue(), "plate.jpg");
  await setUp.field("Kind", photo).selectOption("press plate");
  await setUp.field("Name", photo).fill("Plate of press 12");
  await setUp.close();
  await evenstroke.keptReads(/kept/i);
  await reload(opened);
  const text = await evenstroke.savedFile();
  const [file] = JSON.parse(text).record.photos;
  assert.equal(file.kind, "press_plate");
  assert.equal(file.image.length, kept.length, "the file holds the picture itself");
  // The file opens again, here as on another machine.
  await evenstroke.openFile("again.json", text.replace("Plate of press 12", "Plate, again"));
  await setUp.open();
  await setUp.step("Photos");
  assert.equal(await setUp.field("Name", setUp.entry("Photo 1")).inputValue(), "Plate, again");
  assert.equal((await shown(view)).length, kept.length);
  await assertQuiet(opened);
});

test("a photo taken with the camera turned stands upright", async (tools) => {
  const view = await openPhotos(tools);
  const jpeg = turned(await painted(view.opened.page, 400, 200));
  await choose(view, "turned.jpg", "image/jpeg", jpeg);
  const { width, height, top } = await shown(view);
  // Turned clockwise, the left half lies on top.
  assert.deepEqual({ width, height, top }, { width: 200, height: 400, top: "red" });
  await assertQuiet(view.opened);
});

test("what is no photo, broken or far too large is refused by name, and nothing is lost", async (tools) => {
  const view = await openPhotos(tools);
  const { opened, setUp } = view;
  const png = await painted(opened.page, 60, 40, "image/png");
  await choose(view, "tag.png", "image/png", png);
  await setUp.entry("Photo 1").waitFor();
  const alert = setUp.dialog.locator("p.error");
  await choose(view, "notes.txt", "text/plain", Buffer.from("no picture"));
  await readsText(alert, /Photo: must be a whole picture .* given “notes\.txt”/);
  await choose(view, "script.svg", "image/svg+xml", Buffer.from("<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>"));
  await readsText(alert, "given “script.svg”");
  await choose(view, "cut.png", "image/png", png.subarray(0, 40));
  await readsText(alert, "given “cut.png”");
  const folder = await mkdtemp(join(tmpdir(), "photos-"));
  tools.afterwards(() => rm(folder, { recursive: true }));
  const large = join(folder, "large.jpg");
  await writeFile(large, png);
  const handle = await open(large, "r+");
  await handle.truncate(50_000_000);
  await handle.close();
  await setUp.dialog.getByLabel("Choose a picture").setInputFiles(large);
  await readsText(alert, "Photo: must be at most 40 MB, given “large.jpg” of 50 MB");
  assert.equal(await setUp.dialog.getByRole("group", { name: /^Photo \d/ }).count(), 1);
  await choose(view, "second.png", "image/png", png);
  await setUp.entry("Photo 2").waitFor();
  assert(await alert.isHidden(), "what was said is gone with the next photo");
  await assertQuiet(opened);
});

test("a photo is removed and brought back, and the ninth is refused", async (tools) => {
  const view = await openPhotos(tools);
  const { opened, setUp } = view;
  for (let count = 1; count <= 8; count += 1) {
    await choose(view, `${count}.jpg`, "image/jpeg", await painted(opened.page, 40 + count, 40));
    await setUp.entry(`Photo ${count}`).waitFor();
  }
  await choose(view, "9.jpg", "image/jpeg", await painted(opened.page, 90, 40));
  await readsText(setUp.dialog.locator("p.error"), "must be at most 8");
  await setUp.entry("Photo 8").getByRole("button", { name: "Remove photo 8" }).click();
  await setUp.entry("Photo 8").waitFor({ state: "detached" });
  await setUp.button("Undo").click();
  assert.equal((await shown(view, 8)).width, 48);
  await assertQuiet(opened);
});

// Were it in each step, sixty steps would hold sixty times its length; the text that is kept takes a few.
test("undo holds a photo once, however many edits follow it", async (tools) => {
  const view = await openPhotos(tools);
  const { opened, setUp } = view;
  await choose(view, "a.jpg", "image/jpeg", await painted(opened.page, 3000, 3000));
  const { length } = await shown(view);
  const memory = () => opened.page.evaluate(() => wasm_bindgen().then(({ memory }) => memory.buffer.byteLength));
  const name = setUp.field("Name", setUp.entry("Photo 1"));
  const kind = setUp.field("Kind", setUp.entry("Photo 1"));
  const before = await memory();
  // Edits of one field in quick succession are one step, so two fields take turns.
  for (let edit = 0; edit < 30; edit += 1) {
    await kind.selectOption({ index: edit % 5 });
    await name.fill(`Name ${edit}`);
  }
  for (let edit = 0; edit < 60; edit += 1) await setUp.button("Undo").click();
  assert.equal(await name.inputValue(), "a.jpg");
  assert.equal((await shown(view)).length, length, "and the picture is still there");
  const grown = (await memory()) - before;
  assert(grown < 20 * length, `grown by ${grown} bytes with a photo of ${length}`);
  await assertQuiet(opened);
});

test("photos are taken on a phone from the saved page, by camera or file", async (tools) => {
  const view = await openPhotos(tools, { viewport: PHONE }, openSaved);
  const { opened, setUp } = view;
  const camera = setUp.dialog.getByLabel("Take a photo");
  assert.equal(await camera.getAttribute("capture"), "environment");
  assert.equal(await camera.getAttribute("accept"), "image/*");
  await camera.setInputFiles({ name: "tag.jpg", mimeType: "image/jpeg", buffer: await painted(opened.page, 1600, 1200) });
  await shown(view);
  await noHorizontalScroll(opened.page);
  await fitsGloves(opened.page);
  await axe(opened.page);
  await assertQuiet(opened);
});

test("all jobs with their photos go into one file that can be read again, however many revisions they have", async (tools) => {
  const view = await openPhotos(tools);
  const { opened, evenstroke, setUp } = view;
  for (let count = 1; count <= 6; count += 1) {
    await choose(view, `${count}.jpg`, "image/jpeg", await painted(opened.page, 3000, 2000 + count));
    await setUp.entry(`Photo ${count}`).waitFor();
  }
  const kind = setUp.field("Kind", setUp.entry("Photo 6"));
  for (let edit = 0; edit < 14; edit += 1) {
    await kind.selectOption({ index: edit % 5 });
    await setUp.page.evaluate(() => window.evenstroke.flush());
  }
  const [file, kept] = await opened.page.evaluate(async () => {
    const [job] = JSON.parse(await window.evenstroke.list(""));
    const revisions = JSON.parse(await window.evenstroke.revisions(job.id)).length;
    const text = await window.evenstroke.exportAll();
    return [{ length: text.length, older: JSON.parse(text).jobs[0].older.length }, revisions];
  });
  assert(file.length < 20 * 1024 * 1024, `${file.length} characters`);
  assert(file.older > 0 && file.older < kept, `${file.older} of ${kept} revisions`);
  await assertQuiet(opened);
});
