// Calcite: rate constants, rate and solubility product. Amorphous silica: solubility against temperature and pH.
#include <cmath>
#include <numbers>
#include <string>

#include "models/foulant/foulant.h"
#include "models/solution/equilibria.h"
#include "models/verify/verification.h"

namespace wetrun {
namespace {

constexpr const char* rate_constants = "models/foulant/foulant.h, calcite_constants";
constexpr const char* silica_law = "models/solution/equilibria.h, amorphous_silica_solubility_mol_kg";
constexpr double gas_constant_j_mol_k = 8.314462618, near_neutral_ph = 6, silica_kg_mol = 0.060084;

double after_last(const PublishedValue& row, char mark) {
  return std::strtod(row.id.c_str() + row.id.rfind(mark) + 1, nullptr);
}

/// Far from equilibrium, without carbon dioxide [mol/m2/s].
double forward_rate(double kelvin, double ph) {
  RemovalConditions c;
  c.temperature_k = kelvin;
  c.ph = ph;
  c.hydrogen_activity = std::pow(10.0, -ph);
  return calcite_surface_rate(c);
}

double silica_kg_kg(double kelvin) {
  return amorphous_silica_solubility_mol_kg(kelvin, near_neutral_ph) * silica_kg_mol;
}

/// By van 't Hoff's law [J/mol].
double silica_enthalpy(double kelvin) {
  const double ln_slope = std::log(silica_kg_kg(kelvin + 0.5) / silica_kg_kg(kelvin - 0.5));
  return gas_constant_j_mol_k * kelvin * kelvin * ln_slope;
}

}  // namespace

void verify_dissolution_solubility(Verification& to) {
  for (const PublishedValue* row : to.rows("dissolution_solubility")) {
    const double kelvin = row->kelvin;
    if (row->starts_with("pwp_k1"))
      to.compare(*row, calcite_constants(kelvin).k1_m_s, rate_constants);
    else if (row->starts_with("pwp_k2"))
      to.compare(*row, calcite_constants(kelvin).k2_m_s, rate_constants);
    else if (row->starts_with("pwp_k3"))
      to.compare(*row, calcite_constants(kelvin).k3_mol_m2_s, rate_constants);
    else if (row->starts_with("pwp_forward"))
      to.compare(*row, forward_rate(kelvin, after_last(*row, '_')), "models/foulant/foulant.h, calcite_surface_rate");
    else if (row->starts_with("Ksp_calcite"))
      to.compare(*row, calcite_log10_ksp(kelvin), "models/solution/equilibria.h, calcite_log10_ksp");
    else if (row->starts_with("silica_am"))
      to.compare(*row, silica_kg_kg(kelvin), silica_law);
    else if (row->starts_with("silica_pH"))
      to.compare(*row,
                 amorphous_silica_solubility_mol_kg(kelvin, after_last(*row, '_')) /
                     amorphous_silica_solubility_mol_kg(kelvin, 4),
                 silica_law);
    else if (row->id == "silica_dH")
      to.compare(*row, silica_enthalpy(kelvin),
                 "models/solution/equilibria.h, amorphous_silica_solubility_mol_kg, slope with temperature");
    else
      to.leave(*row, "the models have no solid calcium hydroxide");
  }
}

}  // namespace wetrun
