import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import init from 'replicad-opencascadejs';

/** Open CASCADE's boundary representation: exact arcs, cones and fillets where ours are triangles. */
type Engine = Awaited<ReturnType<typeof init>>;
export type CadSolid = InstanceType<Engine['TopoDS_Shape']>;

export type CadWire = InstanceType<Engine['TopoDS_Wire']>;
type Triple = readonly [number, number, number];

/** r from the finger's axis and z along it, mm. */
export type Corner = [r: number, z: number];
/** From corner to corner; with `through`, the arc of a circle over that point. */
export interface Side {
  from: Corner;
  through?: Corner;
  to: Corner;
}

export async function loadCadKernel(): Promise<CadKernel> {
  const file = createRequire(import.meta.url).resolve('replicad-opencascadejs/wasm');
  return new CadKernel(await init({ wasmBinary: await readFile(file) }));
}

export class CadKernel {
  readonly #cad: Engine;

  constructor(cad: Engine) {
    this.#cad = cad;
  }

  /** The face within the sides, turned once about the axis. */
  revolve(sides: Side[]): CadSolid {
    const cad = this.#cad;
    const point = ([r, z]: Corner) => new cad.gp_Pnt(r, 0, z);
    const wire = new cad.BRepBuilderAPI_MakeWire();
    for (const { from, through, to } of sides) {
      const edge = through
        ? new cad.BRepBuilderAPI_MakeEdge(
            new cad.GC_MakeArcOfCircle(point(from), point(through), point(to)).Value(),
          )
        : new cad.BRepBuilderAPI_MakeEdge(point(from), point(to));
      wire.Add(edge.Edge());
    }
    const face = new cad.BRepBuilderAPI_MakeFace(wire.Wire(), true).Face();
    const axis = new cad.gp_Ax1(new cad.gp_Pnt(0, 0, 0), new cad.gp_Dir(0, 0, 1));
    return new cad.BRepPrimAPI_MakeRevol(face, axis).Shape();
  }

  /** An elliptic ring about a point, `long` being the direction of its longer half-width. */
  ellipse(middle: Triple, { axis, long }: { axis: Triple; long: Triple }, [a, b]: [number, number]): CadWire {
    const cad = this.#cad;
    const place = new cad.gp_Ax2(new cad.gp_Pnt(...middle), new cad.gp_Dir(...axis), new cad.gp_Dir(...long));
    const edge = new cad.BRepBuilderAPI_MakeEdge(new cad.gp_Elips(place, a, b)).Edge();
    return new cad.BRepBuilderAPI_MakeWire(edge).Wire();
  }

  /** The solid through rings in order, straight from each to the next or smooth over all. */
  loft(rings: CadWire[], ruled: boolean): CadSolid {
    const loft = new this.#cad.BRepOffsetAPI_ThruSections(true, ruled);
    for (const ring of rings) loft.AddWire(ring);
    return loft.Shape();
  }

  /** A round wire swept square along a line, from one end of it to the other. */
  pipe(line: (t: number) => Triple, radius: number, [from, to]: [number, number], steps: number): CadSolid {
    const cad = this.#cad;
    const points = Array.from({ length: steps + 1 }, (_, i) => line(from + ((to - from) * i) / steps));
    const [before, after] = [from - 1e-5, from + 1e-5].map(line);
    const along = new cad.gp_Dir(after[0] - before[0], after[1] - before[1], after[2] - before[2]);
    const circle = new cad.gp_Circ(new cad.gp_Ax2(new cad.gp_Pnt(...points[0]), along), radius);
    const ring = new cad.BRepBuilderAPI_MakeWire(new cad.BRepBuilderAPI_MakeEdge(circle).Edge()).Wire();
    const face = new cad.BRepBuilderAPI_MakeFace(ring, true).Face();
    return new cad.BRepOffsetAPI_MakePipe(this.#spline(points, false), face).Shape();
  }

  /** The curve through points, at equal steps of its parameter; from the last back to the first if it is closed. */
  #spline(points: Triple[], closed: boolean): CadWire {
    const cad = this.#cad;
    const through = new cad.NCollection_Array1_gp_Pnt(1, points.length);
    for (const [i, point] of points.entries()) through.SetValue(i + 1, new cad.gp_Pnt(...point));
    const count = points.length + (closed ? 1 : 0);
    const steps = new cad.NCollection_Array1_double(1, count);
    for (let i = 0; i < count; i++) steps.SetValue(i + 1, i);
    const spline = new cad.GeomAPI_Interpolate(
      new cad.NCollection_HArray1_gp_Pnt(through),
      new cad.NCollection_HArray1_double(steps),
      closed,
      1e-9,
    );
    spline.Perform();
    const edge = new cad.BRepBuilderAPI_MakeEdge(spline.Curve()).Edge();
    return new cad.BRepBuilderAPI_MakeWire(edge).Wire();
  }

  /** Rolls a ball along the circular edges through the given corners. */
  fillet(solid: CadSolid, radii: { at: Corner; radius: number }[]): CadSolid {
    const cad = this.#cad;
    const left = radii.filter(({ radius }) => radius > 0);
    if (left.length === 0) return solid;
    const fillets = new cad.BRepFilletAPI_MakeFillet(solid);
    const explorer = new cad.TopExp_Explorer(solid, cad.TopAbs_ShapeEnum.TopAbs_EDGE);
    for (; explorer.More(); explorer.Next()) {
      const edge = cad.TopoDS.Edge(explorer.Current());
      const curve = new cad.BRepAdaptor_Curve(edge);
      const ends = [curve.FirstParameter(), curve.LastParameter()].map((t) => curve.Value(t));
      const [a, b] = ends.map((p): Corner => [Math.hypot(p.X(), p.Y()), p.Z()]);
      // of a seam between two circles the ends differ
      if (ends[0].Distance(ends[1]) > 1e-7 || Math.hypot(a[0] - b[0], a[1] - b[1]) > 1e-7) continue;
      const found = left.findIndex(({ at }) => Math.hypot(at[0] - a[0], at[1] - a[1]) < 1e-6);
      if (found < 0) continue;
      fillets.Add(left[found].radius, edge);
      left.splice(found, 1);
    }
    if (left.length > 0) throw new Error(`no edge at ${JSON.stringify(left[0].at)}`);
    return fillets.Shape();
  }

  /** Twelve numbers, three rows of a rigid placement. */
  place(solid: CadSolid, m: ArrayLike<number>): CadSolid {
    const cad = this.#cad;
    const turn = new cad.gp_Trsf();
    const n = Array.from(m);
    turn.SetValues(n[0], n[1], n[2], n[3], n[4], n[5], n[6], n[7], n[8], n[9], n[10], n[11]);
    return new cad.BRepBuilderAPI_Transform(solid, turn, true).Shape();
  }

  subtract(from: CadSolid, cutter: CadSolid): CadSolid {
    return new this.#cad.BRepAlgoAPI_Cut(from, cutter).Shape();
  }

  unite(a: CadSolid, b: CadSolid): CadSolid {
    return new this.#cad.BRepAlgoAPI_Fuse(a, b).Shape();
  }

  /** What both have. */
  common(a: CadSolid, b: CadSolid): CadSolid {
    return new this.#cad.BRepAlgoAPI_Common(a, b).Shape();
  }

  /**
   * What a wall of radial lines leaves of a solid: the parts below it and above. The wall stands on a closed curve
   * z(θ), given by points that a periodic spline runs through, and reaches from one radius to another.
   */
  split(solid: CadSolid, z: (theta: number) => number, radii: [number, number], points = 120): CadSolid[] {
    const cad = this.#cad;
    const ring = (r: number) => {
      const turns = Array.from({ length: points }, (_, i) => (2 * Math.PI * i) / points);
      // by equal steps of θ, so that both rings keep pace and the lines between them are radial
      return this.#spline(
        turns.map((theta) => [r * Math.sin(theta), r * Math.cos(theta), z(theta)]),
        true,
      );
    };
    const wall = new cad.BRepOffsetAPI_ThruSections(false, true);
    wall.CheckCompatibility(false);
    for (const r of radii) wall.AddWire(ring(r));
    const splitter = new cad.BRepAlgoAPI_Splitter();
    const [from, tools] = [new cad.NCollection_List_TopoDS_Shape(), new cad.NCollection_List_TopoDS_Shape()];
    from.Append(solid);
    tools.Append(wall.Shape());
    splitter.SetArguments(from);
    splitter.SetTools(tools);
    splitter.Build();
    const parts: CadSolid[] = [];
    const explorer = new cad.TopExp_Explorer(splitter.Shape(), cad.TopAbs_ShapeEnum.TopAbs_SOLID);
    for (; explorer.More(); explorer.Next()) parts.push(explorer.Current());
    return parts;
  }

  /** mm³; faces that are no simple curves’ need adaptive integration, to a relative error of `accuracy` */
  volume(solid: CadSolid, accuracy?: number): number {
    const properties = new this.#cad.GProp_GProps();
    if (accuracy === undefined) this.#cad.BRepGProp.VolumeProperties(solid, properties, true, false, false);
    else this.#cad.BRepGProp.VolumeProperties(solid, properties, accuracy, true, false);
    return Math.abs(properties.Mass());
  }
}
