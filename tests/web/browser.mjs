// Debian's Chromium, with a server of files on this machine.

import { createServer } from "node:http";
import { readFile } from "node:fs/promises";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { extname, join, normalize, sep } from "node:path";
import { chromium } from "playwright-core";

export const FLAGS = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];
const TYPES = { ".js": "text/javascript", ".wasm": "application/wasm", ".html": "text/html" };

/** A browser without anything of an earlier one. */
export async function openBrowser() {
  const profile = mkdtempSync(join(tmpdir(), "moulder-browser-"));
  const context = await chromium.launchPersistentContext(profile, {
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    headless: true,
    args: FLAGS,
  });
  return {
    context,
    async close() {
      await context.close();
      rmSync(profile, { recursive: true, force: true });
    },
  };
}

/** Serves the files of a folder, and pages by name; all under that policy. */
export async function serve(folder, pages, policy) {
  const server = createServer(async (request, response) => {
    const name = normalize(new URL(request.url, "http://localhost").pathname).replace(
      /^[/\\]+/,
      "",
    );
    try {
      if (name.split(sep).includes("..")) throw new Error("outside");
      const body = pages[name] ?? (await readFile(join(folder, name)));
      const type = TYPES[extname(name)] ?? "application/octet-stream";
      response.writeHead(200, { "content-type": type, "content-security-policy": policy });
      response.end(body);
    } catch {
      response.writeHead(404).end();
    }
  });
  await new Promise((resolve) => server.listen(0, "localhost", resolve));
  return {
    address: `http://localhost:${server.address().port}`,
    close: () => new Promise((resolve) => server.close(resolve)),
  };
}

/** A page, and the faults that came up in it: words on the console, errors, other requests. */
export async function openPage(context, address) {
  const page = await context.newPage();
  const faults = [];
  const requests = [];
  page.on("console", (said) => faults.push(`the console says ${said.text()}`));
  page.on("pageerror", (error) => faults.push(`an error: ${error}`));
  page.on("request", (request) => requests.push(request.url()));
  await page.goto(address);
  return { page, faults, requests };
}
