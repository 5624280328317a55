// Water: density, viscosity, heat capacity, dielectric constant, vapour pressure, as every cell of liquid asks for them.
#include <algorithm>
#include <string>

#include "models/verify/verification.h"
#include "models/water/water.h"

namespace wetrun {
namespace {

struct Property {
  const char* quantity;
  double (*ask)(double kelvin);
  const char* model;
};
constexpr Property properties[] = {
    {"density", water_density_kg_m3, "models/water/water.h, water_density_kg_m3"},
    {"viscosity", water_viscosity_pa_s, "models/water/water.h, water_viscosity_pa_s"},
    {"dynamic viscosity", water_viscosity_pa_s, "models/water/water.h, water_viscosity_pa_s"},
    {"isobaric heat capacity", water_heat_capacity_j_kg_k, "models/water/water.h, water_heat_capacity_j_kg_k"},
    {"dielectric constant", water_dielectric_constant, "models/water/water.h, water_dielectric_constant"},
    {"saturation pressure", water_vapour_pressure_pa, "models/water/water.h, water_vapour_pressure_pa"},
    {"vapour pressure", water_vapour_pressure_pa, "models/water/water.h, water_vapour_pressure_pa"}};

/// Where water is densest, to a hundredth of a kelvin.
double densest_kelvin() {
  double best = 273.15;
  for (double kelvin = best; kelvin < 283.15; kelvin += 0.01)
    if (water_density_kg_m3(kelvin) > water_density_kg_m3(best)) best = kelvin;
  return best;
}

}  // namespace

void verify_water_properties(Verification& to) {
  for (const PublishedValue* row : to.rows("water_properties")) {
    const auto* property = std::find_if(std::begin(properties), std::end(properties),
                                        [&](const Property& each) { return row->quantity == each.quantity; });
    if (row->starts_with("r12_"))
      to.leave(*row, "viscosity at another density than that of liquid water at 0.1 MPa");
    else if (row->id == "rho_max")
      to.compare(*row, densest_kelvin(), "models/water/water.h, water_density_kg_m3");
    else if (property != std::end(properties))
      to.compare(*row, property->ask(row->kelvin), property->model);
    else
      to.leave(*row, "not needed by any model");
  }
}

}  // namespace wetrun
