// The system's own Chromium, kept from talking to anything but the page.

import { existsSync } from "node:fs";
import { chromium } from "playwright-core";

const ARGUMENTS = [
  // The tests also run as root, where the sandbox refuses to start.
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-default-apps",
  "--disable-domain-reliability",
  "--disable-sync",
  "--no-first-run",
];

/** The options that every start of the browser shares, persistent profiles included. */
export function launchOptions() {
  const executablePath = process.env.CHROMIUM ?? "/usr/bin/chromium";
  if (!existsSync(executablePath)) {
    throw new Error(`CHROMIUM must name the browser's program file, given was ${executablePath}`);
  }
  return { executablePath, args: ARGUMENTS };
}

export function startBrowser() {
  return chromium.launch(launchOptions());
}
