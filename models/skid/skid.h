// A plant from a skid file (kind = "skid"). See scenarios/skids/ostrey.toml and models/README.md for the keys.
#pragma once
#include <memory>
#include <string>

#include "engine/file/table.h"
#include "engine/step/plant.h"
#include "engine/step/registry.h"
#include "models/solution/species.h"

namespace wetrun {

struct Skid {
  std::string name, title;
  std::shared_ptr<const Plant> plant;
  std::vector<std::string> arrays;  // units that have a permeability to recover, in file order
};

/// Builds and checks the plant. Throws InputError with a position. The document must be finished (unknown keys) by the
/// caller after this, so that overrides are checked too.
Skid build_skid(const Document& document);

/// A [water.NAME] table of a skid file: component names with mol/m3 or kg/m3. Amounts per m3, without heat; neutral.
Amounts read_water(const Table& table);

/// All unit types this program knows.
const UnitRegistry& unit_registry();

}  // namespace wetrun
