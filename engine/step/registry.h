// Unit types by the word a skid file uses. Adding a type: its folder, one line in models/skid/register_all.cpp.
#pragma once
#include <functional>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "engine/file/table.h"
#include "engine/step/plant.h"

namespace wetrun {

/// What a unit is made from: its name and table in the skid file, the plant being built, and the liquid that fills
/// pipes and vessels at the start.
struct UnitRequest {
  std::string name;
  Table table;
  PlantBuilder& plant;
  /// Amounts (by component) of a volume [m3] of the plant's start liquid.
  std::function<std::vector<double>(double volume_m3)> start_liquid;
  /// Amounts per m3 of a water named in the skid file or known to the models; InputError placed at `key` if unknown.
  std::function<std::vector<double>(const Table& table, std::string_view key, double temperature_k)> water;
  double ambient_k = 293.15;  // air temperature on site
};

class UnitRegistry {
public:
  using Make = std::unique_ptr<Unit> (*)(UnitRequest&);
  void add(std::string type, std::string doc, Make make);
  /// Throws InputError listing the known types.
  Make find(const Table& table, const std::string& type) const;
  struct Row {
    std::string type, doc;
    Make make;
  };
  const std::vector<Row>& rows() const { return rows_; }

private:
  std::vector<Row> rows_;
};

}  // namespace wetrun
