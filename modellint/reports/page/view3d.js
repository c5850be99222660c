"use strict";
(function () {
  const data = JSON.parse(document.getElementById("v3-data").textContent);
  const $ = (id) => document.getElementById("v3" + (id ? "-" + id : ""));
  const WORD = {joined: "joined", broken: "broken", unknown: "cannot tell", named: "named by the finding"};
  const LOOK = {"Hold-down chains": "#33485c", "Soil-gas vent": "#8e7cc0", "Foundation and gravel": "#9aa1a7", "Walls and sheathing": "#e6d9b8",
    "Framing": "#d8bd7d", "Windows and doors": "#8fb6cf", "Floors and roof": "#cfc9bd", "Plumbing and ducts": "#8a9a8f"};
  const CLEAR = ["Walls and sheathing", "Floors and roof", "Windows and doors"];
  const MANY_TAGS = 14;
  const byId = new Map();
  data.parts.forEach((part, n) => { if (!byId.has(part[0])) byId.set(part[0], []); byId.get(part[0]).push(n); });
  const cardsOf = new Map();
  data.cards.forEach((card) => card.ids.forEach((id) => {
    if (!cardsOf.has(id)) cardsOf.set(id, []);
    cardsOf.get(id).push(card);
  }));
  let view = null, started = false;

  function element(tag, kind, text) {
    const made = document.createElement(tag);
    if (kind) made.className = kind;
    if (text) made.textContent = text;
    return made;
  }

  // ---- words: lists that work without any drawing ----

  function option(select, value, text) {
    const made = element("option", "", text);
    made.value = value;
    select.appendChild(made);
  }

  function cardName(card) { return card.number + " " + card.word + ": " + card.title; }

  function fillLists() {
    data.cards.forEach((card, n) => option($("card"), n, cardName(card) + (card.where ? " · " + card.where : "")));
    data.chains.forEach((chain, n) => option($("chain"), n, chain.verdict + ": " + chain.name));
    const roles = Array.from(new Set(data.parts.map((part) => part[2]))).sort();
    roles.forEach((role) => option($("role"), role, role));
    data.groups.forEach((name, n) => {
      const label = element("label"), box = element("input");
      box.type = "checkbox"; box.checked = true; box.dataset.group = n;
      label.append(box, document.createTextNode(name));
      $("shown").appendChild(label);
    });
    const label = element("label"), box = element("input");
    box.type = "checkbox"; box.checked = true; box.id = "v3-clear";
    label.append(box, document.createTextNode("Walls, floors, roof see-through"));
    $("shown").appendChild(label);
    fillParts();
  }

  function fillParts() {
    const role = $("role").value;
    $("part").textContent = "";
    let count = 0;
    data.parts.forEach((part, n) => {
      if (part[2] === role) option($("part"), n, (count += 1) + ". " + part[1] + (part[4] ? ", " + part[4] : ""));
    });
  }

  function stepsOf(chain) {
    return chain.steps.map((step) => ({say: step[0], state: step[1], ids: step[2]}));
  }

  function tellChain(chain, extra) {
    const told = $("told"), list = $("steps");
    told.textContent = "";
    list.textContent = "";
    if (extra) told.appendChild(extra);
    if (!chain) return;
    told.appendChild(element("p", "", chain.name + ": " + chain.verdict + (chain.text ? "; " + chain.text : "") + "."));
    chain.gaps.forEach((gap) => told.appendChild(element("p", "", gap)));
    stepsOf(chain).forEach((step) => {
      const row = element("li", step.state), button = element("button", "", WORD[step.state] + ": " + step.say);
      button.type = "button";
      button.disabled = !step.ids.some((id) => byId.has(id));
      button.addEventListener("click", () => pick(step.ids.map((id) => (byId.get(id) || [])[0]).filter((n) => n !== undefined)[0], true));
      row.appendChild(button);
      list.appendChild(row);
    });
  }

  function linkTo(card) {
    const link = element("a", "", "Card " + card.number + " (" + card.word + "): " + card.title);
    link.href = "#" + card.link;
    return link;
  }

  function chooseCard(value) {
    $("card").value = value;
    $("chain").value = "";
    const card = value === "" ? null : data.cards[value];
    if (!card) { tellChain(null); if (view) view.highlight([], []); return; }
    const line = element("p"), chain = card.chain === null ? null : data.chains[card.chain];
    line.append(element("b", "", "Finding " + card.number + " " + card.word + ". "), linkTo(card));
    const box = element("div");
    box.appendChild(line);
    if (card.where) box.appendChild(element("p", "", card.where));
    if (!chain) box.appendChild(element("p", "", "No single chain belongs to this finding; its parts are shown."));
    if (!card.ids.some((id) => byId.has(id)) && !chain) box.appendChild(element("p", "", "None of its parts has a shape in this view."));
    tellChain(chain, box);
    if (chain && card.chain !== null) $("chain").value = card.chain;
    if (view) view.highlight(chain ? stepsOf(chain) : [], card.ids, card);
  }

  function chooseChain(value) {
    $("card").value = "";
    $("chain").value = value;
    const chain = value === "" ? null : data.chains[value];
    tellChain(chain);
    if (view) view.highlight(chain ? stepsOf(chain) : [], []);
  }

  function pick(number, frame) {
    const told = $("picked"), part = data.parts[number];
    told.textContent = "";
    if (!part) { told.appendChild(element("p", "", "No part picked.")); return; }
    const line = element("p");
    line.append(element("b", "", part[1]), document.createTextNode(", " + part[2] + (part[4] ? ", " + part[4] : "")));
    const id = element("p");
    id.append(document.createTextNode("GlobalId "), element("code", "", part[0]));
    told.append(line, id);
    const cards = cardsOf.get(part[0]) || [];
    told.appendChild(element("p", "", cards.length ? "Findings that name it:" : "No finding names it; that is not a pass."));
    const list = element("ul");
    cards.slice(0, 12).forEach((card) => { const row = element("li"); row.appendChild(linkTo(card)); list.appendChild(row); });
    if (cards.length > 12) list.appendChild(element("li", "", "and " + (cards.length - 12) + " more"));
    if (cards.length) told.appendChild(list);
    if ($("role").value !== part[2]) { $("role").value = part[2]; fillParts(); }
    $("part").value = number;
    if (view) view.mark(number, frame);
  }

  // ---- shapes ----

  function vectors(flat) {
    const made = [];
    for (let k = 0; k + 2 < flat.length; k += 3) made.push(new THREE.Vector3(flat[k] / 1000, flat[k + 1] / 1000, flat[k + 2] / 1000));
    return made;
  }

  function push(into, points) { points.forEach((p) => into.push(p.x, p.y, p.z)); }

  function normalOf(ring) {
    const sum = new THREE.Vector3();
    ring.forEach((a, k) => {
      const b = ring[(k + 1) % ring.length];
      sum.x += (a.y - b.y) * (a.z + b.z); sum.y += (a.z - b.z) * (a.x + b.x); sum.z += (a.x - b.x) * (a.y + b.y);
    });
    return sum.normalize();
  }

  function prism(solid, faces, edges) {
    const rings = [vectors(solid[1])].concat(solid[3].map(vectors)), sweep = vectors(solid[2])[0];
    const up = normalOf(rings[0]), x = rings[0][1].clone().sub(rings[0][0]).normalize(), y = up.clone().cross(x);
    const flat = rings.map((ring) => ring.map((p) => new THREE.Vector2(p.dot(x), p.dot(y))));
    const all = [].concat(...rings);
    let corners = [];
    try { corners = THREE.ShapeUtils.triangulateShape(flat[0], flat.slice(1)); } catch (error) { corners = []; }
    corners.forEach((c) => {
      const t = c.map((k) => all[k]);
      if (t.every(Boolean)) { push(faces, t); push(faces, t.map((p) => p.clone().add(sweep))); }
    });
    rings.forEach((ring) => ring.forEach((a, k) => {
      const b = ring[(k + 1) % ring.length], z = ring[(k + ring.length - 1) % ring.length];
      const a2 = a.clone().add(sweep), b2 = b.clone().add(sweep);
      push(faces, [a, b, b2, a, b2, a2]);
      push(edges, [a, b, a2, b2]);
      const turn = a.clone().sub(z).angleTo(b.clone().sub(a));
      if (turn > 0.45) push(edges, [a, a2]);
    }));
  }

  function tube(solid, faces, edges) {
    const line = vectors(solid[1]), radius = solid[2] / 1000, sides = 10;
    for (let k = 0; k + 1 < line.length; k++) {
      const along = line[k + 1].clone().sub(line[k]);
      if (along.length() < 1e-6) continue;
      const way = along.clone().normalize();
      const x = new THREE.Vector3(Math.abs(way.x) > 0.9 ? 0 : 1, Math.abs(way.x) > 0.9 ? 1 : 0, 0).cross(way).normalize();
      const y = way.clone().cross(x), ring = [];
      for (let s = 0; s < sides; s++) {
        const turn = 2 * Math.PI * s / sides;
        ring.push(line[k].clone().addScaledVector(x, radius * Math.cos(turn)).addScaledVector(y, radius * Math.sin(turn)));
      }
      ring.forEach((a, s) => {
        const b = ring[(s + 1) % sides], a2 = a.clone().add(along), b2 = b.clone().add(along);
        push(faces, [a, b, b2, a, b2, a2, line[k], b, a, line[k + 1], a2, b2]);
        push(edges, [a, b, a2, b2]);
      });
    }
  }

  function mesh(solid, faces, edges) {
    const points = vectors(solid[1]), index = solid[2], own = [];
    for (let k = 0; k + 2 < index.length; k += 3) {
      const t = [points[index[k]], points[index[k + 1]], points[index[k + 2]]];
      if (t.every(Boolean)) { push(faces, t); push(own, t); }
    }
    if (own.length) {
      const made = geometry(own), lines = new THREE.EdgesGeometry(made, 30);
      const array = lines.attributes.position.array;
      for (let k = 0; k < array.length; k++) edges.push(array[k]);
      made.dispose(); lines.dispose();
    }
  }

  function shapeOf(part, faces, edges) {
    part[5].forEach((solid) => [prism, tube, mesh][solid[0]](solid, faces, edges));
  }

  function geometry(numbers) {
    const made = new THREE.BufferGeometry();
    made.setAttribute("position", new THREE.BufferAttribute(new Float32Array(numbers), 3));
    return made;
  }

  function centreOf(number) {
    const faces = [];
    shapeOf(data.parts[number], faces, []);
    return new THREE.Box3().setFromArray(faces).getCenter(new THREE.Vector3());
  }

  function striped(material) {
    material.onBeforeCompile = (shader) => {
      shader.fragmentShader = shader.fragmentShader.replace("#include <clipping_planes_fragment>",
        "#include <clipping_planes_fragment>\nif (mod(gl_FragCoord.x + gl_FragCoord.y, 14.0) < 5.0) discard;");
    };
    return material;
  }

  // ---- the view ----

  function makeView() {
    const canvas = $("canvas"), stage = $("stage");
    if (!document.createElement("canvas").getContext("webgl2")) throw new Error("no WebGL");
    const renderer = new THREE.WebGLRenderer({canvas: canvas, antialias: true});
    renderer.setPixelRatio(Math.min(window.devicePixelRatio || 1, 2));
    const scene = new THREE.Scene();
    scene.background = new THREE.Color("#eef1f3");
    scene.add(new THREE.AmbientLight("#ffffff", 1.5));
    const sun = new THREE.DirectionalLight("#ffffff", 2.2);
    scene.add(sun);
    const camera = new THREE.PerspectiveCamera(42, 1, 0.05, 4000);
    camera.up.set(0, 0, 1);
    const controls = new THREE.OrbitControls(camera, canvas);
    controls.enableZoom = false;
    canvas.style.touchAction = "pan-y";
    canvas.addEventListener("focus", () => { controls.enableZoom = true; canvas.style.touchAction = "none"; });
    canvas.addEventListener("blur", () => { controls.enableZoom = false; canvas.style.touchAction = "pan-y"; });

    const groups = data.groups.map((name, g) => {
      const faces = [], edges = [], starts = [], numbers = [];
      data.parts.forEach((part, n) => {
        if (part[3] !== g) return;
        starts.push(faces.length / 9); numbers.push(n);
        shapeOf(part, faces, edges);
      });
      const made = geometry(faces);
      made.computeVertexNormals();
      const body = new THREE.Mesh(made, new THREE.MeshLambertMaterial({color: LOOK[name] || "#b0b0b0", side: THREE.DoubleSide, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1}));
      const lines = new THREE.LineSegments(geometry(edges), new THREE.LineBasicMaterial({color: "#17222d", transparent: true}));
      body.userData = {starts: starts, numbers: numbers};
      scene.add(body, lines);
      return {name: name, body: body, lines: lines};
    });
    const extra = new THREE.Group(), marked = new THREE.Group();
    scene.add(extra, marked);
    const whole = new THREE.Box3();
    groups.forEach((group) => { if (group.body.geometry.attributes.position.count) whole.expandByObject(group.body); });
    if (whole.isEmpty()) whole.setFromCenterAndSize(new THREE.Vector3(), new THREE.Vector3(10, 10, 10));
    let tags = [], dim = false, asked = false;

    function draw() {
      asked = false;
      sun.position.copy(camera.position).sub(controls.target).add(new THREE.Vector3(2, -1, 6));
      renderer.render(scene, camera);
      const width = stage.clientWidth, height = stage.clientHeight;
      tags.forEach((tag) => {
        const p = tag.at.clone().project(camera);
        tag.box.hidden = p.z > 1 || Math.abs(p.x) > 1 || Math.abs(p.y) > 1;
        const left = Math.min(Math.max((p.x + 1) / 2 * width + 8, 0), Math.max(width - tag.box.offsetWidth - 2, 0));
        const top = Math.min(Math.max((1 - p.y) / 2 * height - 12, 0), height - 24);
        tag.box.style.transform = "translate(" + Math.round(left) + "px," + Math.round(top + tag.drop) + "px)";
      });
    }
    function ask() { if (!asked) { asked = true; requestAnimationFrame(draw); } }

    function resize() {
      const width = Math.max(stage.clientWidth, 1), height = Math.max(stage.clientHeight, 1);
      renderer.setSize(width, height, false);
      camera.aspect = width / height;
      camera.updateProjectionMatrix();
      ask();
    }

    function frame(box, from) {
      const ball = box.getBoundingSphere(new THREE.Sphere()), narrow = Math.min(camera.aspect, 1);
      const radius = Math.max(ball.radius, 0.6);
      const away = radius / Math.sin(THREE.MathUtils.degToRad(camera.fov / 2)) / narrow * 1.02;
      const way = from || camera.position.clone().sub(controls.target);
      if (way.lengthSq() < 1e-9) way.set(-0.6, -1, 0.55);
      controls.target.copy(ball.center);
      camera.position.copy(ball.center).addScaledVector(way.normalize(), away);
      controls.update();
      ask();
    }

    function turn(across, upright) {
      const arm = camera.position.clone().sub(controls.target), length = arm.length();
      let round = Math.atan2(arm.y, arm.x) + across, tilt = Math.asin(Math.max(-1, Math.min(1, arm.z / length))) + upright;
      tilt = Math.max(-1.54, Math.min(1.54, tilt));
      arm.set(Math.cos(tilt) * Math.cos(round), Math.cos(tilt) * Math.sin(round), Math.sin(tilt)).multiplyScalar(length);
      camera.position.copy(controls.target).add(arm);
      controls.update(); ask();
    }
    function nearer(by) { camera.position.sub(controls.target).multiplyScalar(by).add(controls.target); controls.update(); ask(); }
    function shift(right, up) {
      const far = camera.position.distanceTo(controls.target) * 0.1;
      const x = new THREE.Vector3().setFromMatrixColumn(camera.matrix, 0), y = new THREE.Vector3().setFromMatrixColumn(camera.matrix, 1);
      const by = x.multiplyScalar(right * far).addScaledVector(y, up * far);
      camera.position.add(by); controls.target.add(by); controls.update(); ask();
    }
    const START = () => new THREE.Vector3(-0.6, -1, 0.55);
    const moves = {
      left: () => turn(-0.2, 0), right: () => turn(0.2, 0), up: () => turn(0, 0.15), down: () => turn(0, -0.15),
      in: () => nearer(0.8), out: () => nearer(1.25), all: () => frame(whole, START()),
      above: () => { frame(whole, new THREE.Vector3(0, -0.001, 1)); },
    };
    const keys = {ArrowLeft: "left", ArrowRight: "right", ArrowUp: "up", ArrowDown: "down", "+": "in", "=": "in", "-": "out", Home: "all", t: "above"};
    const shifts = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1]};
    canvas.addEventListener("keydown", (event) => {
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      if (event.shiftKey && shifts[event.key]) { shift.apply(null, shifts[event.key]); event.preventDefault(); return; }
      const move = keys[event.key];
      if (move) { moves[move](); event.preventDefault(); }
    });

    function look() {
      const clear = document.getElementById("v3-clear").checked;
      document.querySelectorAll("#v3-shown input[data-group]").forEach((box) => {
        const group = groups[box.dataset.group], thin = clear && CLEAR.includes(group.name);
        group.body.visible = group.lines.visible = box.checked;
        const solid = !dim && !thin;
        group.body.material.transparent = !solid;
        group.body.material.depthWrite = solid;
        group.body.material.opacity = dim ? 0.05 : thin ? 0.12 : 1;
        group.lines.material.opacity = dim ? 0.13 : thin ? 0.2 : 0.55;
        group.body.material.needsUpdate = true;
      });
      ask();
    }

    function empty(group) {
      group.children.slice().forEach((child) => { group.remove(child); child.geometry.dispose(); child.material.dispose(); });
    }

    function add(into, number, state) {
      const faces = [], edges = [], part = data.parts[number], bulky = CLEAR.includes(data.groups[part[3]]);
      shapeOf(part, faces, edges);
      const look = {joined: ["#1d6b5b", 1], unknown: ["#0a5a96", 0.4], broken: ["#b0280f", 1], named: ["#e2b64b", 0.85], picked: ["#ffd24d", 0.9]}[state];
      if (!bulky) {
        const made = geometry(faces);
        made.computeVertexNormals();
        const material = new THREE.MeshLambertMaterial({color: look[0], side: THREE.DoubleSide, transparent: look[1] < 1, opacity: look[1], polygonOffset: true, polygonOffsetFactor: state === "picked" ? -2 : 0, polygonOffsetUnits: -1});
        into.add(new THREE.Mesh(made, state === "broken" ? striped(material) : material));
      }
      const line = state === "unknown" ? new THREE.LineDashedMaterial({color: "#0a3f6a", dashSize: 0.06, gapSize: 0.04})
        : new THREE.LineBasicMaterial({color: state === "broken" ? "#7a1200" : state === "named" || state === "picked" ? "#7a4d00" : "#0b2a24", depthTest: !bulky});
      const lines = new THREE.LineSegments(geometry(edges), line);
      lines.computeLineDistances();
      into.add(lines);
    }

    function tag(kind, text, at) {
      const same = tags.filter((other) => other.at.distanceTo(at) < 0.25).length;
      const box = element("div", "v3-tag " + kind, text);
      $("tags").appendChild(box);
      tags.push({box: box, at: at, drop: same * 26});
    }

    function drawChain(steps) {
      const at = steps.map((step) => {
        const own = step.ids.map((id) => (byId.get(id) || [])[0]).filter((n) => n !== undefined);
        return own.length ? centreOf(own[0]) : null;
      });
      steps.forEach((step, k) => {
        if (step.state === "joined") return;
        const before = at.slice(0, k).reverse().find(Boolean), after = at.slice(k + 1).find(Boolean);
        const place = at[k] || (before && after ? before.clone().lerp(after, 0.5) : before || after);
        if (place) tag(step.state, (step.state === "broken" ? "✕ broken: " : "? cannot tell: ") + step.say, place);
      });
      for (let k = 0; k + 1 < steps.length; k++) {
        if (!at[k] || !at[k + 1]) continue;
        const states = [steps[k].state, steps[k + 1].state];
        if (states.every((state) => state === "broken")) continue;
        const made = geometry([at[k].x, at[k].y, at[k].z, at[k + 1].x, at[k + 1].y, at[k + 1].z]);
        const material = states.includes("joined") && !states.includes("unknown")
          ? new THREE.LineBasicMaterial({color: "#0b2a24", depthTest: false})
          : new THREE.LineDashedMaterial({color: "#0a3f6a", dashSize: 0.1, gapSize: 0.08, depthTest: false});
        const line = new THREE.Line(made, material);
        line.computeLineDistances();
        line.renderOrder = 5;
        extra.add(line);
      }
    }

    function highlight(steps, ids, card) {
      empty(extra); empty(marked);
      tags.forEach((one) => one.box.remove());
      tags = [];
      const state = new Map();
      ids.forEach((id) => state.set(id, "named"));
      steps.forEach((step) => step.ids.forEach((id) => state.set(id, step.state)));
      const box = new THREE.Box3();
      state.forEach((word, id) => (byId.get(id) || []).forEach((n) => {
        add(extra, n, word);
        const faces = [], own = new THREE.Box3();
        shapeOf(data.parts[n], faces, []);
        own.setFromArray(faces);
        if (!CLEAR.includes(data.groups[data.parts[n][3]]) && data.groups[data.parts[n][3]] !== "Foundation and gravel") box.union(own);
      }));
      drawChain(steps);
      (card ? card.places : []).slice(0, MANY_TAGS).forEach((p) => {
        const at = new THREE.Vector3(p[0], p[1], p[2]);
        tag(card.outcome, card.number + " " + card.word, at);
        box.expandByPoint(at);
      });
      dim = state.size > 0 || steps.length > 0;
      look();
      frame(box.isEmpty() ? whole : box.expandByScalar(0.4));
    }

    function mark(number, close) {
      empty(marked);
      add(marked, number, "picked");
      if (close) {
        const faces = [];
        shapeOf(data.parts[number], faces, []);
        frame(new THREE.Box3().setFromArray(faces).expandByScalar(0.5));
      }
      ask();
    }

    function partAt(event) {
      const area = canvas.getBoundingClientRect(), ray = new THREE.Raycaster();
      ray.setFromCamera(new THREE.Vector2((event.clientX - area.left) / area.width * 2 - 1, 1 - (event.clientY - area.top) / area.height * 2), camera);
      const hits = ray.intersectObjects(groups.filter((g) => g.body.visible).map((g) => g.body), false);
      const lit = new Set();
      if (dim) { const card = $("card").value, chain = $("chain").value;
        if (card !== "") data.cards[card].ids.forEach((id) => lit.add(id));
        if (chain !== "") data.chains[chain].steps.forEach((step) => step[2].forEach((id) => lit.add(id))); }
      const numbers = hits.map((hit) => {
        const own = hit.object.userData;
        let low = 0, high = own.starts.length - 1;
        while (low < high) { const mid = (low + high + 1) >> 1; if (own.starts[mid] <= hit.faceIndex) low = mid; else high = mid - 1; }
        return own.numbers[low];
      });
      const bulky = (n) => CLEAR.includes(data.groups[data.parts[n][3]]) && document.getElementById("v3-clear").checked;
      return [numbers.find((n) => lit.has(data.parts[n][0]) && !bulky(n)), numbers.find((n) => !bulky(n)), numbers[0]].find((n) => n !== undefined);
    }
    let pressed = null;
    canvas.addEventListener("pointerdown", (event) => { pressed = [event.clientX, event.clientY]; canvas.focus({preventScroll: true}); });
    canvas.addEventListener("pointerup", (event) => {
      if (!pressed || Math.hypot(event.clientX - pressed[0], event.clientY - pressed[1]) > 5) return;
      const number = partAt(event);
      if (number !== undefined) pick(number, false);
    });
    canvas.addEventListener("webglcontextlost", () => { $("none").hidden = false; stage.hidden = true; });
    controls.addEventListener("change", ask);
    if (window.ResizeObserver) new ResizeObserver(resize).observe(stage); else window.addEventListener("resize", resize);
    resize();
    frame(whole, START());
    look();
    return {highlight: highlight, mark: mark, look: look, move: (name) => moves[name](), draw: draw, renderer: renderer};
  }

  function start() {
    if (started) return;
    started = true;
    $().hidden = false;
    fillLists();
    try { view = makeView(); } catch (error) {
      $("none").hidden = false;
      $("stage").hidden = true;
      document.querySelector(".v3-turns").hidden = true;
      $("keys").hidden = true;
      $("shown").hidden = true;
    }
    $().dataset.ready = view ? "drawn" : "words";
  }

  $("card").addEventListener("change", (event) => chooseCard(event.target.value));
  $("chain").addEventListener("change", (event) => chooseChain(event.target.value));
  $("role").addEventListener("change", fillParts);
  $("part").addEventListener("change", (event) => pick(Number(event.target.value), true));
  $("shown").addEventListener("change", () => { if (view) view.look(); });
  document.querySelector(".v3-turns").addEventListener("click", (event) => {
    const name = event.target.dataset.turn;
    if (view && name) view.move(name);
  });
  document.addEventListener("click", (event) => {
    const link = event.target.closest ? event.target.closest("a[data-to3d]") : null;
    if (!link) return;
    event.preventDefault();
    start();
    chooseCard(String(data.cards.findIndex((card) => String(card.number) === link.dataset.to3d)));
    document.getElementById("model3d").scrollIntoView({block: "start", behavior: "instant"});
    $("card").focus({preventScroll: true});
  });
  if (window.IntersectionObserver) {
    const watch = new IntersectionObserver((rows) => { if (rows.some((row) => row.isIntersecting)) { watch.disconnect(); start(); } }, {rootMargin: "300px"});
    watch.observe(document.getElementById("model3d"));
  } else start();
})();
