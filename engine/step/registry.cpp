#include "engine/step/registry.h"

namespace wetrun {

void UnitRegistry::add(std::string type, std::string doc, Make make) {
  for (const Row& row : rows_) WETRUN_REQUIRE(row.type != type);
  rows_.push_back({std::move(type), std::move(doc), make});
}

UnitRegistry::Make UnitRegistry::find(const Table& table, const std::string& type) const {
  std::string known;
  for (const Row& row : rows_) {
    if (row.type == type) return row.make;
    known += (known.empty() ? "" : ", ") + row.type;
  }
  throw table.error("type", "unknown unit type '" + type + "'", "known types: " + known);
}

}  // namespace wetrun
