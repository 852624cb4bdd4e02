// The page comes up: served, distributed and offline, and from disk.
import { expect, scanForBarriers, test } from "../fixture.mjs";

test("the served page starts and has no barriers", async ({ page }) => {
  const response = await page.goto("/");
  await expect(page).toHaveTitle("Lampwright");
  await expect(page.getByRole("heading", { level: 1 })).toHaveText("Lampwright");
  expect(response.headers()["content-security-policy"]).toContain("default-src 'none'");
  await scanForBarriers(page);
});

test("the distributed site starts again without a network", async ({ page, context, siteAddress }) => {
  await page.goto(siteAddress);
  await expect(page.getByRole("heading", { level: 1 })).toHaveText("Lampwright");
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await context.setOffline(true);
  await page.reload();
  await expect(page.getByRole("heading", { level: 1 })).toHaveText("Lampwright");
});

test("the one-file page starts from disk", async ({ page, oneFileAddress }) => {
  await page.goto(oneFileAddress);
  await expect(page.getByRole("heading", { level: 1 })).toHaveText("Lampwright");
});

test("inline script is refused by the policy", async ({ page, trouble }) => {
  trouble.allow(/Content Security Policy/);
  await page.goto("/");
  await page.evaluate(() => {
    const script = document.createElement("script");
    script.textContent = "document.title = 'changed'";
    document.head.append(script);
  });
  await expect(page).toHaveTitle("Lampwright");
});

test("nothing outside the served folder is handed out", async ({ request, baseURL }) => {
  for (const path of ["/%2e%2e/Cargo.toml", "/..%2fCargo.toml", "/%252e%252e/Cargo.toml"]) {
    expect((await request.get(`${baseURL}${path}`)).status(), path).toBe(404);
  }
  const wasm = await request.get(`${baseURL}/lampwright_bg.wasm`);
  expect(wasm.headers()["content-type"]).toBe("application/wasm");
});
