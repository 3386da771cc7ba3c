// The three engines: how each is started so that its downloads land in a folder of the test's own
// and nothing is left behind.

import { existsSync } from "node:fs";
import { mkdir, mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { Session, freePort, ready, startProgram } from "./webdriver.mjs";

const chromium = {
  words: (port) => [`--port=${port}`],
  capabilities: ({ downloads }) => ({
    browserName: "chrome",
    "goog:chromeOptions": {
      binary: process.env.CHROMIUM ?? "/usr/bin/chromium",
      // The tests also run as root, where the sandbox refuses to start.
      args: ["--headless=new", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"],
      prefs: { "download.default_directory": downloads },
    },
  }),
};

const firefox = {
  words: (port) => ["--port", String(port)],
  capabilities: ({ downloads }) => ({
    browserName: "firefox",
    "moz:firefoxOptions": {
      args: ["-headless"],
      prefs: {
        "browser.download.dir": downloads,
        "browser.download.folderList": 2,
        "browser.download.useDownloadDir": true,
        "browser.download.always_ask_before_handling_new_types": false,
      },
    },
  }),
};

const miniBrowsers = ["4.1", "6.0", "4.0"].map((version) => `/usr/lib/${process.arch === "arm64" ? "aarch64" : "x86_64"}-linux-gnu/webkit2gtk-${version}/MiniBrowser`);
const webkit = {
  needsScreen: true,
  words: (port) => [`--port=${port}`],
  capabilities: () => ({
    "webkitgtk:browserOptions": {
      binary: miniBrowsers.find((path) => existsSync(path)) ?? miniBrowsers[0],
      args: ["--automation"],
    },
  }),
};

/** The engines by name, each with what `xtask` said of its driver. */
export const engines = Object.entries({ chromium, firefox, webkit }).map(([name, engine]) => ({
  name,
  ...engine,
  driver: process.env[`EVENSTROKE_${name.toUpperCase()}_DRIVER`],
  missing: process.env[`EVENSTROKE_NO_${name.toUpperCase()}`],
}));

/** Starts an engine; gives its session and the folder in which its downloads land. */
export async function startEngine(engine, afterwards) {
  const home = await mkdtemp(join(tmpdir(), "evenstroke-engine-"));
  afterwards(() => rm(home, { recursive: true, force: true, maxRetries: 5 }));
  const downloads = join(home, "Downloads");
  await mkdir(downloads);
  await mkdir(join(home, ".config"));
  await writeFile(join(home, ".config/user-dirs.dirs"), 'XDG_DOWNLOAD_DIR="$HOME/Downloads"\n');
  const environment = { HOME: home, XDG_CONFIG_HOME: join(home, ".config"), XDG_CACHE_HOME: join(home, ".cache"), XDG_DATA_HOME: join(home, ".local") };
  if (engine.needsScreen) {
    // It takes a display that nobody has and says which once it is ready.
    const screen = startProgram("Xvfb", ["-displayfd", "1", "-screen", "0", "1400x1000x24", "-nolisten", "tcp"]);
    afterwards(() => screen.stop());
    const display = await screen.firstLine;
    Object.assign(environment, {
      DISPLAY: `:${display}`,
      // Drawn by the processor, and without a sandbox, which root may not set up.
      LIBGL_ALWAYS_SOFTWARE: "1",
      WEBKIT_DISABLE_COMPOSITING_MODE: "1",
      WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS: "1",
      GTK_A11Y: "none",
    });
  }
  const port = await freePort();
  const driver = startProgram(engine.driver, engine.words(port), environment);
  afterwards(() => driver.stop());
  const base = `http://127.0.0.1:${port}`;
  await ready(base);
  const session = await Session.open(base, engine.capabilities({ downloads }));
  afterwards(() => session.close().catch(() => {}));
  return { session, downloads };
}
