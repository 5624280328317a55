#include "models/skid/skid.h"

#include <algorithm>
#include <map>

#include "engine/core/text.h"
#include "models/solution/chemicals.h"
#include "models/solution/properties.h"

namespace wetrun {
namespace {

/// Density and viscosity of the liquid, for the network.
class SolutionProperties final : public LiquidProperties {
public:
  Fluid of(std::span<const double> amounts) const override {
    const DensityViscosity found = liquid_properties(amounts.data());
    return {found.density_kg_m3, found.viscosity_pa_s};
  }
};

std::vector<PlantInvariant> plant_invariants() {
  std::vector<PlantInvariant> list;
  for (const Invariant& invariant : invariants)
    list.push_back({std::string(invariant.name), {invariant.weight.begin(), invariant.weight.end()}});
  return list;
}

/// Waters by name: those of the file ([water.NAME]), then those every skid knows.
class Waters {
public:
  explicit Waters(const Table& root) {
    const auto tables = root.table_if("water");
    if (!tables) return;
    for (const std::string& name : tables->keys()) {
      waters_.emplace(name, read_water(tables->table(name)));
    }
  }

  std::vector<double> per_m3(const Table& table, std::string_view key, const std::string& name, double kelvin) const {
    Amounts amounts;
    if (const auto found = waters_.find(name); found != waters_.end()) {
      amounts = found->second;
    } else {
      try {
        amounts = find_water(name).per_m3;
      } catch (const InputError& error) {
        throw error.at(table.where(key));
      }
    }
    amounts[heat_j] = heat_of(1.0, kelvin);
    return {amounts.begin(), amounts.end()};
  }

private:
  std::map<std::string, Amounts> waters_;
};

/// Units and nodes name signals, CSV columns and paths of --set.
void require_plain_name(const Table& table, const std::string& name) {
  const auto letter = [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); };
  const auto plain = [&](char c) { return letter(c) || (c >= '0' && c <= '9') || c == '_'; };
  if (name.empty() || name.size() > 60 || !letter(name[0]) || !std::all_of(name.begin(), name.end(), plain))
    throw InputError(table.where(name), "'" + shown(name) + "' cannot be the name of a unit or node",
                     "use up to 60 letters, digits and '_', a letter first");
}

/// Complaints about the plant as a whole quote first what they are about ("'loop.valve' begins and ends ..."): the
/// place where that unit or node is written, or the start of the file.
SourcePos place_of(const Table& root, const std::string& wrong) {
  const std::size_t from = wrong.find('\'') + 1;  // npos + 1 = 0: nothing is quoted
  const std::string name = from == 0 ? "" : wrong.substr(from, wrong.find_first_of(".'", from) - from);
  for (const char* kind : {"unit", "node"})
    if (const auto table = root.table_if(kind); table && table->has(name)) return table->where(name);
  return root.where();
}

void add_nodes(const Table& root, PlantBuilder& builder, const UnitRequest& request) {
  const auto nodes = root.table_if("node");
  if (!nodes) return;
  for (const std::string& name : nodes->keys()) {
    require_plain_name(*nodes, name);
    const Table table = nodes->table(name);
    const double volume = table.quantity("volume", "m3", {1e-4, 10});
    const double elevation = table.quantity("elevation", "m", {-50, 50});
    try {
      builder.add_junction(name, elevation, builder.add_cell(name, CellKind::inner, request.start_liquid(volume)));
    } catch (const InputError& error) {
      throw error.at(nodes->where(name));
    }
  }
}

}  // namespace

Amounts read_water(const Table& table) {
  Amounts per_m3{};
  per_m3[volume_m3] = 1;
  for (std::size_t j = sodium; j < component_count; ++j) {
    const ComponentInfo& row = component_info[j];
    per_m3[j] = table.quantity_or(row.name, row.unit == "kg" ? "kg/m3" : "mol/m3", 0, {0, 5000});
    per_m3[proton] -= row.charge * per_m3[j];  // neutral by its own pH
  }
  return per_m3;
}

Skid build_skid(const Document& document) {
  document.require_kind("skid", 1);
  const Table root = document.root();
  Skid skid;
  skid.name = root.text("name");
  skid.title = root.text("title");
  const Table site = root.table("site");
  const double ambient_k = site.quantity("ambient", "K", {253.15, 323.15});
  const Waters waters(root);
  const Table start = root.table("start");
  const double start_k = start.quantity("temperature", "K", {273.15, 333.15});
  const std::vector<double> start_water = waters.per_m3(start, "water", start.text("water"), start_k);

  PlantBuilder builder(component_count, plant_invariants(), std::make_shared<SolutionProperties>());
  builder.set_signed(proton);
  // The fastest states (a motor running up: 0.25 s) follow steps up to 0.69 s; half a second is the design.
  builder.set_step_s(site.quantity_or("step", "s", 0.5, {0.01, 0.5}));
  builder.set_hands(static_cast<int>(site.count_or("hands", 1, 1, 4)));
  const auto start_liquid = [&](double volume) {
    std::vector<double> amounts = start_water;
    for (double& amount : amounts) amount *= volume;
    return amounts;
  };
  const auto water = [&](const Table& table, std::string_view key, double kelvin) {
    return waters.per_m3(table, key, table.text(key), kelvin);
  };

  const Table units = root.table("unit");
  add_nodes(root, builder, {"", units, builder, start_liquid, water, ambient_k});
  for (const std::string& name : units.keys()) {
    require_plain_name(units, name);
    const Table table = units.table(name);
    UnitRequest request{name, table, builder, start_liquid, water, ambient_k};
    try {
      builder.add_unit(name, unit_registry().find(table, table.text("type"))(request));
    } catch (const InputError& error) {
      if (!error.where().file.empty()) throw;
      throw error.at(units.where(name));
    }
  }
  document.finish();  // an unknown key is the likelier reason for what finish() below might complain of
  try {
    skid.plant = builder.finish();
  } catch (const InputError& error) {
    throw error.where().file.empty() ? error.at(place_of(root, error.wrong())) : error;
  }
  for (const Plant::Slot& slot : skid.plant->units())
    if (skid.plant->signals().find(slot.name + ".recovered_fraction").valid()) skid.arrays.push_back(slot.name);
  return skid;
}

}  // namespace wetrun
