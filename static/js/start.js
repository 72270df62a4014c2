// Starts each helper on its own: a page works without any of them, and one that fails stops no other.
for (const name of ["form", "keys", "lines", "photos", "signature", "hold"]) {
  import(`./${name}.js`)
    .then((module) => module.start(document))
    .catch((error) => console.error(`siteapp: ${name} did not start`, error));
}
