// A static file server for this machine: `node tools/serve.mjs FOLDER [PORT] [BASE]`. Files go compressed, as any host
// should send them.
// The tests import `serve` to look at the same folder at the root of a host and below a path.
import { createReadStream } from "node:fs";
import { readFile, stat } from "node:fs/promises";
import { createServer } from "node:http";
import { extname, join, normalize, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { promisify } from "node:util";
import { brotliCompress, constants } from "node:zlib";

const TYPES = {
  ".css": "text/css",
  ".html": "text/html; charset=utf-8",
  ".ico": "image/x-icon",
  ".js": "text/javascript",
  ".json": "application/json",
  ".md": "text/markdown; charset=utf-8",
  ".mjs": "text/javascript",
  ".png": "image/png",
  ".svg": "image/svg+xml",
  ".toml": "text/plain; charset=utf-8",
  ".txt": "text/plain; charset=utf-8",
  ".wasm": "application/wasm",
  ".webmanifest": "application/manifest+json",
  ".woff2": "font/woff2",
};

// What any host of the page should send along. The policy is the page's own, with the one rule that a page cannot
// give itself: who may frame it (the same host, so that a course may).
async function headers(top) {
  const html = await readFile(join(top, "index.html"), "utf8").catch(() => "");
  const policy = html.match(/http-equiv="Content-Security-Policy" content="([^"]*)"/)?.[1];
  return {
    ...(policy && { "content-security-policy": `${policy}; frame-ancestors 'self'` }),
    "referrer-policy": "no-referrer",
    "x-content-type-options": "nosniff",
  };
}

// What is worth compressing: the other kinds are compressed as they are.
const LOOSE = /\.(css|html|js|json|mjs|svg|toml|txt|wasm|webmanifest)$/;
const brotli = promisify(brotliCompress);

// Compresses each file once for as long as it stays the same.
function press() {
  const pressed = new Map();
  return (file, etag) => {
    if (pressed.get(file)?.etag !== etag) {
      const params = { [constants.BROTLI_PARAM_QUALITY]: 9, [constants.BROTLI_PARAM_LGWIN]: 22 };
      pressed.set(file, { etag, bytes: readFile(file).then((bytes) => brotli(bytes, { params })) });
    }
    return pressed.get(file).bytes;
  };
}

// Ports tried before giving up, when the wanted one is taken.
const PORTS_TRIED = 20;

// Serves `folder` under the path `base` ("/" or "/some/path/"); answers with its address and `close`.
// Port 0 takes any free one. With `compress`, files go as brotli to whoever takes it.
export async function serve(folder, { port = 0, base = "/", compress = false } = {}) {
  const top = resolve(folder);
  const pressed = compress ? press() : null;
  const server = createServer((request, response) => answer({ top, base, pressed }, request, response));
  for (let tried = 0; ; tried++) {
    try {
      await listen(server, port);
      break;
    } catch (error) {
      if (error.code !== "EADDRINUSE" || tried === PORTS_TRIED) throw error;
      port++;
    }
  }
  return {
    url: `http://127.0.0.1:${server.address().port}${base}`,
    close: () => new Promise((done) => (server.closeAllConnections(), server.close(done))),
  };
}

function listen(server, port) {
  return new Promise((done, failed) => {
    server.once("error", failed);
    server.listen(port, "127.0.0.1", () => (server.off("error", failed), done()));
  });
}

async function answer({ top, base, pressed }, request, response) {
  const refuse = (status) => response.writeHead(status, { "content-type": "text/plain" }).end(`${status}\n`);
  let path;
  try {
    path = decodeURIComponent(new URL(request.url, "http://host").pathname);
  } catch {
    return refuse(400);
  }
  if (!path.startsWith(base)) return refuse(404);
  path = path.slice(base.length) || "index.html";
  if (path.endsWith("/")) path += "index.html";
  const file = join(top, normalize("/" + path));
  const found = await stat(file).catch(() => null);
  if (!found?.isFile()) return refuse(404);
  const etag = `"${found.mtimeMs.toString(36)}-${found.size.toString(36)}"`;
  const head = { ...(await headers(top)), "cache-control": "no-cache", etag };
  if (request.headers["if-none-match"] === etag) return response.writeHead(304, head).end();
  head["content-type"] = TYPES[extname(file)] ?? "application/octet-stream";
  if (pressed && LOOSE.test(file)) {
    head.vary = "accept-encoding";
    if (/\bbr\b/.test(request.headers["accept-encoding"] ?? "")) {
      const bytes = await pressed(file, etag);
      response.writeHead(200, { ...head, "content-encoding": "br", "content-length": bytes.length });
      return response.end(request.method === "HEAD" ? undefined : bytes);
    }
  }
  response.writeHead(200, { ...head, "content-length": found.size });
  if (request.method === "HEAD") return response.end();
  createReadStream(file).pipe(response);
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  const [folder, port = "8000", base = "/"] = process.argv.slice(2);
  const { url } = await serve(folder, { port: Number(port), base, compress: true });
  console.log(`Leadbar: ${url}`);
}
