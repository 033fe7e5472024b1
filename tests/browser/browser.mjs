// Starts the installed browser, as both checks want it: without a profile of anybody's, and quiet towards the network.

import fs from "node:fs";
import os from "node:os";
import path from "node:path";
import puppeteer from "puppeteer-core";

export async function startBrowser(browserPath = "/usr/bin/chromium") {
  const profile = fs.mkdtempSync(path.join(os.tmpdir(), "polypary-browser-"));
  const browser = await puppeteer.launch({
    executablePath: browserPath,
    headless: true,
    userDataDir: profile,
    protocolTimeout: 300_000,
    args: [
      "--no-sandbox",
      "--disable-gpu",
      "--disable-quic",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
      "--disable-dev-shm-usage",
    ],
  });
  const stop = async () => {
    await browser.close();
    fs.rmSync(profile, { recursive: true, force: true });
  };
  return { browser, stop };
}
