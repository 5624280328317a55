#include "models/solution/constants.h"

#include <cmath>
#include <numbers>

#include "models/solution/columns.h"
#include "models/water/temperature_table.h"
#include "models/water/water.h"

namespace wetrun {

namespace {

constexpr double gas_constant_j_mol_k = 8.314462618;
constexpr double reference_k = 298.15;
constexpr Constant master = constant_count;

constexpr ConstantInfo van_t_hoff(Constant id, std::string_view step, Constant base, double log_k, double dh,
                                  double dcp, std::string_view source) {
  return {id, step, base, false, {log_k, dh, dcp, 0, 0}, source};
}
constexpr ConstantInfo formula(Constant id, std::string_view step, Constant base, std::array<double, 5> a,
                               std::string_view source) {
  return {id, step, base, true, a, source};
}

constexpr std::string_view goldberg = "Goldberg, Kishore & Lennen 2002, J. Phys. Chem. Ref. Data 31:231 (from memory)";
constexpr std::string_view plummer = "Plummer & Busenberg 1982, Geochim. Cosmochim. Acta 46:1011, as in wateq4f.dat";
constexpr std::string_view nist46 = "Martell, Smith & Motekaitis, NIST SRD 46, as in minteq.v4.dat";
constexpr std::string_view nist46_no_dh = "Martell, Smith & Motekaitis, NIST SRD 46, as in minteq.v4.dat; no enthalpy";
constexpr std::string_view nist46_goldberg_cp =
    "NIST SRD 46, as in minteq.v4.dat; dCp of Goldberg et al. 2002 (from memory)";
constexpr std::string_view wateq = "Ball & Nordstrom 1991, USGS OFR 91-183 (wateq4f.dat)";
constexpr std::string_view wateq_no_dh = "Ball & Nordstrom 1991, USGS OFR 91-183 (wateq4f.dat); no enthalpy";
constexpr double kcal = 4184;

}  // namespace

// Protonation steps carry the ionisation pK, -dH and -dCp.
const std::array<ConstantInfo, constant_count> constant_info = {{
    van_t_hoff(k_water, "H2O = H+ + OH-", master, -13.995, 55810, -215,
               "IAPWS R11-07 (the equation of water.h is used; these figures only label it)"),
    formula(k_hco3, "H+ + CO3-- = HCO3-", master, {107.8871, 0.03252849, -5151.79, -38.92561, 563713.9}, plummer),
    formula(k_h2co3, "H+ + HCO3- = CO2 + H2O", k_hco3,
            {464.1965 - 107.8871, 0.09344813 - 0.03252849, -26986.16 + 5151.79, -165.75951 + 38.92561,
             2248628.9 - 563713.9},
            plummer),
    van_t_hoff(k_hcit, "H+ + Cit--- = HCit--", master, 6.396, 3380, 254, goldberg),
    van_t_hoff(k_h2cit, "H+ + HCit-- = H2Cit-", k_hcit, 4.761, -2230, 178, goldberg),
    van_t_hoff(k_h3cit, "H+ + H2Cit- = H3Cit", k_h2cit, 3.128, -4070, 131, goldberg),
    van_t_hoff(k_hpo4, "H+ + PO4--- = HPO4--", master, 12.375, -15000, 242, nist46_goldberg_cp),
    van_t_hoff(k_h2po4, "H+ + HPO4-- = H2PO4-", k_hpo4, 7.198, -3600, 230, goldberg),
    van_t_hoff(k_h3po4, "H+ + H2PO4- = H3PO4", k_h2po4, 2.148, 8000, 141, goldberg),
    van_t_hoff(k_hy, "H+ + Y---- = HY---", master, 10.948, -23430.4, 0, nist46),
    van_t_hoff(k_h2y, "H+ + HY--- = H2Y--", k_hy, 6.273, -17572.8, 0, nist46),
    van_t_hoff(k_h3y, "H+ + H2Y-- = H3Y-", k_h2y, 3.119, 5439.2, 0, nist46),
    van_t_hoff(k_h4y, "H+ + H3Y- = H4Y", k_h3y, 2.16, 1255.2, 0, nist46),
    van_t_hoff(k_h5y, "H+ + H4Y = H5Y+", k_h4y, 1.5, 2092, 0, nist46),
    van_t_hoff(k_hso4, "H+ + SO4-- = HSO4-", master, 1.987, 22400, 258, goldberg),
    van_t_hoff(k_nh4, "H+ + NH3 = NH4+", master, 9.245, -51950, -8, goldberg),
    formula(k_hocl, "H+ + OCl- = HOCl", master, {-10.0686, 0.0253, 3000, 0, 0},
            "Morris 1966, J. Phys. Chem. 70:3798 (from memory)"),
    van_t_hoff(k_cl2, "HOCl + Cl- + H+ = Cl2 + H2O", k_hocl, 3.404, -21300, 440,
               "fitted to Connick & Chia 1959, J. Am. Chem. Soc. 81:1280, 0 to 45 degC (from memory)"),
    formula(k_h3sio4, "Si(OH)4 = SiO(OH)3- + H+", master, {-302.3724, -0.050698, 15669.69, 108.18466, -1119669.0},
            wateq),
    formula(k_h2sio4, "SiO(OH)3- = SiO2(OH)2-- + H+", k_h3sio4,
            {-294.0184 + 302.3724, -0.07265 + 0.050698, 11204.49 - 15669.69, 0, 0}, wateq),
    van_t_hoff(k_caoh, "Ca++ + H2O = CaOH+ + H+", master, -12.697, 64110, 0, nist46),
    van_t_hoff(k_mgoh, "Mg++ + H2O = MgOH+ + H+", master, -11.44, 15.952 * kcal, 0, wateq),
    van_t_hoff(k_feoh, "Fe+++ + H2O = FeOH++ + H+", master, -2.19, 10.4 * kcal, 0, wateq),
    van_t_hoff(k_feoh2, "Fe+++ + 2 H2O = Fe(OH)2+ + 2 H+", master, -5.67, 17.1 * kcal, 0, wateq),
    van_t_hoff(k_feoh3, "Fe+++ + 3 H2O = Fe(OH)3 + 3 H+", master, -12.56, 24.8 * kcal, 0, wateq),
    van_t_hoff(k_feoh4, "Fe+++ + 4 H2O = Fe(OH)4- + 4 H+", master, -21.6, 31.9 * kcal, 0, wateq),
    formula(k_caco3, "Ca++ + CO3-- = CaCO3", master, {-1228.732, -0.299444, 35512.75, 485.818, 0}, plummer),
    formula(k_cahco3, "Ca++ + HCO3- = CaHCO3+", k_hco3, {1209.12, 0.31294, -34765.05, -478.782, 0}, plummer),
    van_t_hoff(k_cacit, "Ca++ + Cit--- = CaCit-", master, 4.87, -8368, 0, nist46),
    van_t_hoff(k_cahcit, "Ca++ + Cit--- + H+ = CaHCit", master, 9.26, -836.8, 0, nist46),
    van_t_hoff(k_cah2cit, "Ca++ + Cit--- + 2 H+ = CaH2Cit+", master, 12.257, 0, 0, nist46_no_dh),
    van_t_hoff(k_cay, "Ca++ + Y---- = CaY--", master, 12.42, -25522.4, 0, nist46),
    van_t_hoff(k_cahy, "Ca++ + Y---- + H+ = CaHY-", master, 15.9, 0, 0, nist46_no_dh),
    van_t_hoff(k_caso4, "Ca++ + SO4-- = CaSO4", master, 2.3, 1.65 * kcal, 0, wateq),
    van_t_hoff(k_capo4, "Ca++ + PO4--- = CaPO4-", master, 6.459, 3.1 * kcal, 0, wateq),
    van_t_hoff(k_cahpo4, "Ca++ + HPO4-- = CaHPO4", k_hpo4, 2.739, 3.3 * kcal, 0, wateq),
    van_t_hoff(k_cah2po4, "Ca++ + H2PO4- = CaH2PO4+", k_h2po4, 1.408, 3.4 * kcal, 0, wateq),
    formula(k_mgco3, "Mg++ + CO3-- = MgCO3", master, {0.9910, 0.00667, 0, 0, 0}, wateq),
    formula(k_mghco3, "Mg++ + HCO3- = MgHCO3+", k_hco3, {-59.215, 0, 2537.455, 20.92298, 0}, wateq),
    van_t_hoff(k_mgcit, "Mg++ + Cit--- = MgCit-", master, 4.89, 8368, 0, nist46),
    van_t_hoff(k_mghcit, "Mg++ + Cit--- + H+ = MgHCit", master, 8.91, 3347.2, 0, nist46),
    van_t_hoff(k_mgh2cit, "Mg++ + Cit--- + 2 H+ = MgH2Cit+", master, 12.2, 0, 0, nist46_no_dh),
    van_t_hoff(k_mgy, "Mg++ + Y---- = MgY--", master, 10.57, 13807.2, 0, nist46),
    van_t_hoff(k_mghy, "Mg++ + Y---- + H+ = MgHY-", master, 14.97, 0, 0, nist46_no_dh),
    van_t_hoff(k_mgso4, "Mg++ + SO4-- = MgSO4", master, 2.37, 4.55 * kcal, 0, wateq),
    van_t_hoff(k_mgpo4, "Mg++ + PO4--- = MgPO4-", master, 6.589, 3.1 * kcal, 0, wateq),
    van_t_hoff(k_mghpo4, "Mg++ + HPO4-- = MgHPO4", k_hpo4, 2.87, 3.3 * kcal, 0, wateq),
    van_t_hoff(k_mgh2po4, "Mg++ + H2PO4- = MgH2PO4+", k_h2po4, 1.513, 3.4 * kcal, 0, wateq),
    van_t_hoff(k_fecit, "Fe+++ + Cit--- = FeCit", master, 13.1, 0, 0, nist46_no_dh),
    van_t_hoff(k_fehcit, "Fe+++ + Cit--- + H+ = FeHCit+", master, 14.4, 0, 0, nist46_no_dh),
    van_t_hoff(k_fey, "Fe+++ + Y---- = FeY-", master, 27.7, -11296.8, 0, nist46),
    van_t_hoff(k_fehy, "Fe+++ + Y---- + H+ = FeHY", master, 29.2, -11715.2, 0, nist46),
    van_t_hoff(k_feohy, "Fe+++ + Y---- + H2O = FeOHY-- + H+", master, 19.9, 0, 0, nist46_no_dh),
    van_t_hoff(k_feoh2y, "Fe+++ + Y---- + 2 H2O = Fe(OH)2Y--- + 2 H+", master, 9.85, 0, 0, nist46_no_dh),
    van_t_hoff(k_feso4, "Fe+++ + SO4-- = FeSO4+", master, 4.04, 3.91 * kcal, 0, wateq),
    van_t_hoff(k_fehpo4, "Fe+++ + HPO4-- = FeHPO4+", k_hpo4, 5.43, 5.76 * kcal, 0, wateq),
    van_t_hoff(k_feh2po4, "Fe+++ + H2PO4- = FeH2PO4++", k_h2po4, 5.43, 0, 0, wateq_no_dh),
    van_t_hoff(k_nay, "Na+ + Y---- = NaY---", master, 2.7, -5857.6, 0, nist46),
}};

double log10_step(Constant id, double kelvin) {
  if (id == k_water) return -water_pkw(kelvin, water_density_exact_kg_m3(kelvin));
  const ConstantInfo& c = constant_info[id];
  const auto& v = c.value;
  if (c.analytic) return v[0] + v[1] * kelvin + v[2] / kelvin + v[3] * std::log10(kelvin) + v[4] / (kelvin * kelvin);
  const double ratio = reference_k / kelvin;
  const double ln_change = -v[1] / gas_constant_j_mol_k * (1 / kelvin - 1 / reference_k) +
                           v[2] / gas_constant_j_mol_k * (ratio - 1 - std::log(ratio));
  return v[0] + ln_change / std::numbers::ln10;
}

double log10_constant(Constant id, double kelvin) {
  double sum = 0;
  for (Constant c = id; c != constant_count; c = constant_info[c].base) sum += log10_step(c, kelvin);
  return sum;
}

namespace {

using ColumnTable = TemperatureTable<column_count>;

const ColumnTable& column_table() {
  static const ColumnTable table([](double t, std::array<double, column_count>& y) {
    for (std::size_t i = 0; i < column_count; ++i) {
      const Constant id = column_constant[i];
      y[i] = id < constant_count ? std::pow(10.0, log10_constant(id, t)) : 0;
    }
    y[density_column] = water_density_exact_kg_m3(t);
    y[davies_column] = debye_hueckel_a(t) * std::numbers::ln10;
  });
  return table;
}

}  // namespace

ColumnPlace columns_at(double kelvin) {
  const ColumnTable::Place p = column_table().place(kelvin);
  return {p.first, p.t};
}

void read_constants(double kelvin, ConstantSet& out) {
  std::array<double, column_count> y;
  column_table().read(kelvin, y.data());
  for (std::size_t k = 0; k < out.value.size(); ++k) out.value[k] = y[column_of[k]];
}

}  // namespace wetrun
