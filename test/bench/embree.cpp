// The Embree side of the bench. Reads triangles and rays, then traces the stretch of rays that each line on standard
// input asks for, "<kind> <first> <count>", and answers with its processor seconds: the other side takes turns with it.
//
//   embree <file> <folder>
//
// file:   u32 vertices, u32 triangles, xyz floats, u32 indices, then three times u32 rays and six floats a ray
// folder: <kind>.bin gets distance (float) and triangle (u32; all ones for none) of each ray, with the last stretch
//
// A stretch starts from the flat array of rays and ends with flat arrays of results, as on the other side, and the
// program works through batches that stay in the cache: filling one ray and tracing it at once would stall Embree's
// vector loads on our scalar stores.
#include <embree3/rtcore.h>
#include <pmmintrin.h>
#include <xmmintrin.h>

#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <fstream>
#include <iostream>
#include <limits>
#include <string>
#include <vector>

namespace {

constexpr size_t kBatch = 1024;

template <typename T>
std::vector<T> read(std::ifstream& in, size_t count) {
  std::vector<T> values(count);
  in.read(reinterpret_cast<char*>(values.data()), static_cast<std::streamsize>(count * sizeof(T)));
  if (!in) {
    std::cerr << "the input ends too early\n";
    std::exit(1);
  }
  return values;
}

double processorSeconds() {
  timespec t;
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return static_cast<double>(t.tv_sec) + 1e-9 * static_cast<double>(t.tv_nsec);
}

struct Rays {
  std::string kind;
  std::vector<float> flat;
  std::vector<float> distance;
  std::vector<uint32_t> triangle;
  size_t count() const { return flat.size() / 6; }
};

void fill(RTCRay& ray, const float* from) {
  ray.org_x = from[0];
  ray.org_y = from[1];
  ray.org_z = from[2];
  ray.dir_x = from[3];
  ray.dir_y = from[4];
  ray.dir_z = from[5];
  ray.tnear = 0;
  ray.tfar = std::numeric_limits<float>::infinity();
  ray.time = 0;
  ray.mask = ~0u;
  ray.id = 0;
  ray.flags = 0;
}

double nearest(RTCScene scene, Rays& rays, size_t from, size_t to) {
  static std::vector<RTCRayHit> batch(kBatch);
  RTCIntersectContext context;
  rtcInitIntersectContext(&context);
  const double start = processorSeconds();
  for (size_t first = from; first < to; first += kBatch) {
    const size_t n = std::min(kBatch, to - first);
    for (size_t i = 0; i < n; i++) {
      fill(batch[i].ray, &rays.flat[6 * (first + i)]);
      batch[i].hit.geomID = RTC_INVALID_GEOMETRY_ID;
      batch[i].hit.instID[0] = RTC_INVALID_GEOMETRY_ID;
    }
    for (size_t i = 0; i < n; i++) rtcIntersect1(scene, &context, &batch[i]);
    for (size_t i = 0; i < n; i++) {
      rays.distance[first + i] = batch[i].ray.tfar;
      rays.triangle[first + i] = batch[i].hit.geomID == RTC_INVALID_GEOMETRY_ID ? ~0u : batch[i].hit.primID;
    }
  }
  return processorSeconds() - start;
}

double blocked(RTCScene scene, Rays& rays, size_t from, size_t to) {
  static std::vector<RTCRay> batch(kBatch);
  RTCIntersectContext context;
  rtcInitIntersectContext(&context);
  const double start = processorSeconds();
  for (size_t first = from; first < to; first += kBatch) {
    const size_t n = std::min(kBatch, to - first);
    for (size_t i = 0; i < n; i++) fill(batch[i], &rays.flat[6 * (first + i)]);
    for (size_t i = 0; i < n; i++) rtcOccluded1(scene, &context, &batch[i]);
    for (size_t i = 0; i < n; i++) rays.triangle[first + i] = batch[i].tfar < 0 ? 0 : ~0u;
  }
  return processorSeconds() - start;
}

void keep(const std::string& folder, const Rays& rays) {
  std::ofstream out(folder + "/" + rays.kind + ".bin", std::ios::binary);
  const auto bytes = static_cast<std::streamsize>(rays.count() * 4);
  out.write(reinterpret_cast<const char*>(rays.distance.data()), bytes);
  out.write(reinterpret_cast<const char*>(rays.triangle.data()), bytes);
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 3) {
    std::cerr << "expected an input file and an output folder\n";
    return 2;
  }
  // recommended in Embree's documentation: denormals are slow and of no use here
  _MM_SET_FLUSH_ZERO_MODE(_MM_FLUSH_ZERO_ON);
  _MM_SET_DENORMALS_ZERO_MODE(_MM_DENORMALS_ZERO_ON);

  std::ifstream in(argv[1], std::ios::binary);
  const auto sizes = read<uint32_t>(in, 2);
  const auto vertices = read<float>(in, size_t(3) * sizes[0]);
  const auto indices = read<uint32_t>(in, size_t(3) * sizes[1]);
  std::vector<Rays> sets;
  for (const char* kind : {"primary", "incoherent", "occlusion"}) {
    const uint32_t count = read<uint32_t>(in, 1)[0];
    sets.push_back({kind, read<float>(in, size_t(6) * count), std::vector<float>(count), std::vector<uint32_t>(count)});
  }

  RTCDevice device = rtcNewDevice("threads=1");
  RTCScene scene = rtcNewScene(device);
  rtcSetSceneBuildQuality(scene, RTC_BUILD_QUALITY_HIGH);
  RTCGeometry mesh = rtcNewGeometry(device, RTC_GEOMETRY_TYPE_TRIANGLE);
  void* v = rtcSetNewGeometryBuffer(mesh, RTC_BUFFER_TYPE_VERTEX, 0, RTC_FORMAT_FLOAT3, 12, sizes[0]);
  std::copy(vertices.begin(), vertices.end(), static_cast<float*>(v));
  void* i = rtcSetNewGeometryBuffer(mesh, RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3, 12, sizes[1]);
  std::copy(indices.begin(), indices.end(), static_cast<uint32_t*>(i));
  rtcCommitGeometry(mesh);
  rtcAttachGeometry(scene, mesh);
  rtcReleaseGeometry(mesh);
  rtcCommitScene(scene);
  std::cout << "Embree " << RTC_VERSION_STRING << std::endl;

  std::string kind;
  size_t first;
  size_t count;
  while (std::cin >> kind >> first >> count) {
    for (Rays& rays : sets) {
      if (rays.kind != kind) continue;
      const size_t to = std::min(first + count, rays.count());
      const double seconds = kind == "occlusion" ? blocked(scene, rays, first, to) : nearest(scene, rays, first, to);
      if (to == rays.count()) keep(argv[2], rays);
      std::cout << seconds << std::endl;
    }
  }
  rtcReleaseScene(scene);
  rtcReleaseDevice(device);
}
