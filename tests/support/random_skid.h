// Random plants: the Ostrey skid with some of its numbers drawn anew. `Size` says which and how, so that a plant is a list
// that can be printed and made shorter.
#pragma once
#include <array>
#include <memory>
#include <string>
#include <vector>

#include "engine/core/random.h"
#include "engine/core/units.h"
#include "engine/file/table.h"
#include "models/skid/skid.h"

namespace wetrun::test {

/// A number of the skid file and where it may lie. An empty unit: a whole number.
struct SizeRange {
  const char* path;
  double low, high;
  const char* unit;
};
inline constexpr SizeRange size_ranges[] = {
    {"unit.tank.volume", 0.8, 4, "m3"},
    {"unit.tank.start_volume", 0.02, 0.8, "m3"},
    {"unit.tank.bottom_share", 0.1, 0.5, "1"},
    {"unit.tank.heater_power", 0, 60e3, "W"},
    {"unit.tank.overflow_diameter", 0.03, 0.1, "m"},
    {"start.temperature", 276, 312, "K"},
    {"site.ambient", 265, 310, "K"},
    {"site.hands", 1, 4, ""},
    {"unit.permeate_main.pressure", 0.5e5, 5e5, "Pa"},
    {"unit.permeate_main.temperature", 276, 312, "K"},
    {"unit.pump.rated_head", 15, 60, "m"},
    {"unit.suction_strainer.kv", 20 / 3600.0 / 316.2278, 200 / 3600.0 / 316.2278, "m3/s/Pa^0.5"},
    {"unit.recycle_pipe.length", 0.5, 30, "m"},
    {"unit.concentrate_hose.riser_length", 2, 40, "m"},
    {"unit.concentrate_hose.diameter", 0.032, 0.08, "m"},
    {"unit.permeate_hose.diameter", 0.025, 0.08, "m"},
    {"unit.meter_pipe.length", 0.5, 30, "m"},
    {"unit.supply_hose.largest", 1e-5, 2e-3, "m2"},
    {"unit.array_1.permeability", 2e-12, 5e-11, "m/s/Pa"},
    {"unit.array_1.salt_passage", 0.001, 0.2, "1"},
    {"unit.array_1.deposit[0].amount", 0, 0.02, "kg/m2"},
    {"unit.array_1.deposit[1].amount", 0, 0.01, "kg/m2"},
    {"unit.array_2.deposit[0].amount", 0, 0.03, "kg/m2"},
    {"unit.stack.deposit[0].amount", 0, 0.03, "kg/m2"},
    {"unit.array_1.vessels", 1, 8, ""},
    {"unit.array_1.elements", 1, 7, ""},
    {"unit.array_2.elements", 1, 7, ""},
    {"unit.cartridge.cartridges", 2, 40, ""},
    {"unit.cartridge.volume", 0.02, 0.3, "m3"},
};

/// One number drawn anew: which of `size_ranges`, and how far along its range in thousandths.
struct Size {
  int which = 0, thousandths = 0;
  std::string path() const { return size_ranges[which].path; }
  std::string value() const {
    const SizeRange& range = size_ranges[which];
    const double number = range.low + (range.high - range.low) * thousandths * 1e-3;
    return *range.unit == '\0' ? std::to_string(static_cast<int>(number + 0.5)) : exact_quantity(number, range.unit);
  }
};
using Sizes = std::vector<Size>;

inline Sizes random_sizes(Random& random) {
  Sizes sizes;
  for (int i = 0; i < static_cast<int>(std::size(size_ranges)); ++i)
    sizes.push_back({i, static_cast<int>(random.below(1001))});
  return sizes;
}

inline std::shared_ptr<const Plant> plant_of(const Sizes& sizes) {
  Document document = Document::load(WETRUN_SOURCE_DIR "/scenarios/skids/ostrey.toml");
  for (const Size& size : sizes) document.override_value(size.path(), size.value());
  return build_skid(document).plant;
}

}  // namespace wetrun::test
