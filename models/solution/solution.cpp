// Speciation equations
//
//   mass action   c_s = K_s h^p prod(a_master) / gamma_s,  log10 gamma = -A z^2 f(I)             (forms.h, constants.h)
//   Davies        f(I) = sqrt(I)/(1 + sqrt(I)) - 0.3 I up to its maximum at I = 0.395 mol/kg, constant beyond    (davies.h)
//   metals        one-to-one complexes of Ca, Mg, Fe(III) and Na                                 (complexes.h)
//   TOTH          R1 = [H+] - [OH-] + sum p_s c_s - TOTH = 0
//   strength      R2 = 1/2 sum z^2 c - I = 0
// TOTH (component `proton`) and the charge balance are the same equation in a neutral liquid; TOTH is the one solved
// because it does not subtract large strong-ion totals. Speciation::charge_residual is the charge balance itself, so it
// shows both the solver's error and any liquid that was given without neutrality.
//
// Sources: Morel & Hering 1993, Principles and Applications of Aquatic Chemistry, ch. 1 (TOTH); Davies 1962, Ion
// Association (0.3). Holding f beyond its maximum is ours: it keeps f monotone, so ionic strength has one solution, and
// strong acid and base stay within 0.05 pH of measured activities up to 1 mol/kg (tests/reference/solution_strong).
// Neutral species and water have activity 1. Not modelled: surfactant micelles, iron(III)-chloride pairs and polymers,
// sodium pairs other than with EDTA, calcium-silicate pairs, precipitation (kinetics does that).
//
// Symbols: h = a(H+), x = ln h, I ionic strength [mol/kg], q = sqrt(I), phi = A ln10 f. Range: see solution.h.
// Numerical notes: Newton on (x, I) with exact derivatives, each by its own equation while far away; inside it the
// complexes are solved exactly and followed by their own derivatives. Stops when the step is below 1e-7 (quadratic:
// error 1e-14). If it wanders, a nested bracket takes over: R2 by bisection on q, inside it R1, which rises with x at
// given q, by bracketed Newton; that always ends. Totals are held to 60 mol/kg (beyond any liquid) and pairs of totals
// below 1e-16 mol/kg are left out. Errors: NumericsError when a total is not finite or the nested bracket fails. Tests:
// tests/reference/verify_tables_test.cpp (ph_standards), tests/reference/solution_*_test.cpp,
// tests/property/solution_random_test.cpp.
#include "models/solution/solution.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "engine/core/error.h"
#include "models/solution/complexes.h"
#include "models/solution/constants.h"
#include "models/solution/davies.h"
#include "models/solution/forms.h"
#include "models/solution/nearby.h"

namespace wetrun {

namespace {

using std::numbers::ln10;

constexpr double greatest_total = 60;  // mol/kg
constexpr double least_pair = 1e-16;   // mol/kg
constexpr double x_low = -18 * ln10, x_high = 4 * ln10;

enum Metal : std::size_t { m_calcium, m_magnesium, m_iron, m_sodium, m_chloride };
enum Ligand : std::size_t { l_carbonate, l_citrate, l_phosphate, l_edta, l_sulfate, l_hypochlorite };
constexpr std::array<Component, metal_count> metal_component = {calcium, magnesium, iron, sodium, chloride};
constexpr std::array<double, metal_count> metal_charge = {2, 2, 3, 1, -1};
constexpr std::array<Component, ligand_count> ligand_component = {carbonate, citrate, phosphate,
                                                                  edta,      sulfate, hypochlorite};
constexpr std::array<double, ligand_count> ligand_charge = {-2, -3, -3, -4, -2, -1};

struct Residuals {
  double r1 = 0, r2 = 0;        // mol/kg
  double r1_x = 0, r1_phi = 0;  // slopes
  double i_x = 0, i_phi = 0;    // slopes of 1/2 sum z^2 c
  double noise = 0;             // sum of the magnitudes in r1
  double phi_q = 0;             // d phi / d q
};

class Equilibrium {
public:
  explicit Equilibrium(std::span<const double> amounts);
  void solve(double ph_start);
  void refresh() { evaluate(x_, q_); }  // all concentrations at the answer: before report and keep
  void report(Speciation& out) const;
  void keep(SpeciationStart start) const;
  double ph() const { return -x_ / ln10; }

private:
  bool newton(double ph_start);
  void nested();
  double root_at(double q, double x);
  Residuals evaluate(double x, double q);
  void add(Residuals& r, double c, const Pool& p, double z0);
  void add_network(Residuals& r);
  Pool metal_pool(std::size_t m) const;
  Pool ligand_pool(std::size_t l) const;
  Pool complex_pool(std::size_t m, std::size_t l) const;
  void follow(double dx, double dphi);

  ConstantSet k_;
  std::array<double, metal_count> metal_total_{};
  std::array<double, ligand_count> ligand_total_{};
  double ammonia_ = 0, silica_ = 0, proton_ = 0, strong_anions_ = 0, strong_cations_ = 0;
  double x_ = 0, q_ = 0;
  int iterations_ = 0;

  Powers powers_;
  std::array<Pool, metal_count> metal_pool_;
  std::array<Pool, ligand_count> ligand_pool_;
  std::array<std::array<Pool, ligand_count>, metal_count> complex_pool_;
  Complexes net_;
  std::array<std::size_t, metal_count> net_metal_{};    // place in net_ -> Metal
  std::array<std::size_t, ligand_count> net_ligand_{};  // place in net_ -> Ligand
  std::array<bool, metal_count> metal_in_net_{};
  std::array<bool, ligand_count> ligand_in_net_{};
  std::array<double, metal_count> dln_metal_x_{}, dln_metal_phi_{};
  double charge_ = 0, charge_scale_ = 0;
};

// Which metal meets which ligand.
constexpr bool pairs(std::size_t m, std::size_t l) {
  if (l == l_hypochlorite) return m == m_chloride;
  if (m == m_chloride) return false;
  if (m == m_sodium) return l == l_edta;
  if (m == m_iron) return l != l_carbonate;
  return true;
}

Equilibrium::Equilibrium(std::span<const double> amounts) {
  const double volume = amounts[volume_m3];
  read_constants(temperature_k(amounts.data()), k_);
  const double per_kg = volume > 0 ? 1 / (volume * k_.density_kg_m3()) : 0;
  const auto total = [&](Component c) {
    const double m = amounts[c] * per_kg;
    if (!std::isfinite(m))
      throw NumericsError("speciation: total of " + std::string(component_info[c].name), 0, m, "mol/kg");
    return std::clamp(m, c == proton ? -greatest_total : 0.0, greatest_total);
  };
  for (std::size_t m = 0; m < metal_count; ++m) metal_total_[m] = total(metal_component[m]);
  for (std::size_t l = 0; l < ligand_count; ++l) ligand_total_[l] = total(ligand_component[l]);
  ammonia_ = total(ammonia);
  silica_ = total(silica);
  proton_ = total(proton);
  strong_anions_ = total(surfactant);

  for (std::size_t m = 0; m < metal_count; ++m) {
    if (metal_total_[m] <= least_pair) continue;
    for (std::size_t l = 0; l < ligand_count; ++l)
      if (pairs(m, l) && ligand_total_[l] > least_pair) metal_in_net_[m] = ligand_in_net_[l] = true;
  }
  for (std::size_t m = 0; m < metal_count; ++m) {
    if (!metal_in_net_[m]) continue;
    net_.metal_total[net_.metals] = net_.metal[net_.metals] = metal_total_[m];
    net_metal_[net_.metals++] = m;
  }
  for (std::size_t l = 0; l < ligand_count; ++l) {
    if (!ligand_in_net_[l]) continue;
    net_.ligand_total[net_.ligands] = ligand_total_[l];
    net_ligand_[net_.ligands++] = l;
  }
  if (!metal_in_net_[m_sodium]) strong_cations_ += metal_total_[m_sodium];
  if (!metal_in_net_[m_chloride]) strong_anions_ += metal_total_[m_chloride];
}

Pool Equilibrium::metal_pool(std::size_t m) const {
  switch (m) {
    case m_calcium:
      return pool_of<forms::calcium>(powers_, k_);
    case m_magnesium:
      return pool_of<forms::magnesium>(powers_, k_);
    case m_iron:
      return pool_of<forms::iron>(powers_, k_);
    case m_sodium:
      return pool_of<forms::sodium>(powers_, k_);
    default:
      return pool_of<forms::chloride>(powers_, k_);
  }
}

Pool Equilibrium::ligand_pool(std::size_t l) const {
  switch (l) {
    case l_carbonate:
      return pool_of<forms::carbonate>(powers_, k_);
    case l_citrate:
      return pool_of<forms::citrate>(powers_, k_);
    case l_phosphate:
      return pool_of<forms::phosphate>(powers_, k_);
    case l_edta:
      return pool_of<forms::edta>(powers_, k_);
    case l_sulfate:
      return pool_of<forms::sulfate>(powers_, k_);
    default:
      return pool_of<forms::hypochlorite>(powers_, k_);
  }
}

Pool Equilibrium::complex_pool(std::size_t m, std::size_t l) const {
  switch (m * ligand_count + l) {
    case m_calcium* ligand_count + l_carbonate:
      return pool_of<forms::ca_carbonate>(powers_, k_);
    case m_calcium* ligand_count + l_citrate:
      return pool_of<forms::ca_citrate>(powers_, k_);
    case m_calcium* ligand_count + l_phosphate:
      return pool_of<forms::ca_phosphate>(powers_, k_);
    case m_calcium* ligand_count + l_edta:
      return pool_of<forms::ca_edta>(powers_, k_);
    case m_calcium* ligand_count + l_sulfate:
      return pool_of<forms::ca_sulfate>(powers_, k_);
    case m_magnesium* ligand_count + l_carbonate:
      return pool_of<forms::mg_carbonate>(powers_, k_);
    case m_magnesium* ligand_count + l_citrate:
      return pool_of<forms::mg_citrate>(powers_, k_);
    case m_magnesium* ligand_count + l_phosphate:
      return pool_of<forms::mg_phosphate>(powers_, k_);
    case m_magnesium* ligand_count + l_edta:
      return pool_of<forms::mg_edta>(powers_, k_);
    case m_magnesium* ligand_count + l_sulfate:
      return pool_of<forms::mg_sulfate>(powers_, k_);
    case m_iron* ligand_count + l_citrate:
      return pool_of<forms::fe_citrate>(powers_, k_);
    case m_iron* ligand_count + l_phosphate:
      return pool_of<forms::fe_phosphate>(powers_, k_);
    case m_iron* ligand_count + l_edta:
      return pool_of<forms::fe_edta>(powers_, k_);
    case m_iron* ligand_count + l_sulfate:
      return pool_of<forms::fe_sulfate>(powers_, k_);
    case m_sodium* ligand_count + l_edta:
      return pool_of<forms::na_edta>(powers_, k_);
    default:
      return pool_of<forms::chlorine>(powers_, k_);
  }
}

// A pool of fixed concentration c whose forms share it out: mean values and their slopes.
void Equilibrium::add(Residuals& r, double c, const Pool& p, double z0) {
  const double cov = c * (p.zzz - p.z * p.zz);
  r.r1 += c * (p.z - z0);
  r.noise += c * std::abs(p.z - z0);
  r.r1_x += c * (p.zz - p.z * p.z);
  r.r1_phi += cov;
  r.r2 += 0.5 * c * p.zz;
  r.i_x += 0.5 * cov;
  r.i_phi += 0.5 * c * (p.zzzz - p.zz * p.zz);
  charge_ += c * p.z;
  charge_scale_ += c * p.abs_z;
}

// Metals and ligands that bind: solve the complexes, add all pools, and the slopes of their concentrations.
void Equilibrium::add_network(Residuals& r) {
  Complexes::Rates kappa_x, kappa_phi;
  for (std::size_t m = 0; m < net_.metals; ++m) metal_pool_[m] = metal_pool(net_metal_[m]);
  for (std::size_t l = 0; l < net_.ligands; ++l) ligand_pool_[l] = ligand_pool(net_ligand_[l]);
  for (std::size_t m = 0; m < net_.metals; ++m) {
    for (std::size_t l = 0; l < net_.ligands; ++l) {
      kappa_x[m][l] = kappa_phi[m][l] = 0;
      if (!pairs(net_metal_[m], net_ligand_[l])) continue;
      const Pool& c = complex_pool_[m][l] = complex_pool(net_metal_[m], net_ligand_[l]);
      net_.k[m][l] = c.sum / (metal_pool_[m].sum * ligand_pool_[l].sum);
      kappa_x[m][l] = c.z - metal_pool_[m].z - ligand_pool_[l].z;
      kappa_phi[m][l] = c.zz - metal_pool_[m].zz - ligand_pool_[l].zz;
    }
  }
  if (!net_.solve()) throw NumericsError("speciation: metal complexes", 2000, 1e-13, "of the metal total");
  std::array<double, ligand_count> dln_ligand_x{}, dln_ligand_phi{};
  net_.factor();
  net_.sensitivity(kappa_x, dln_metal_x_, dln_ligand_x);
  net_.sensitivity(kappa_phi, dln_metal_phi_, dln_ligand_phi);

  const auto moved = [&r](double c, const Pool& p, double z0, double dln_x, double dln_phi) {
    r.r1_x += c * (p.z - z0) * dln_x;
    r.r1_phi += c * (p.z - z0) * dln_phi;
    r.i_x += 0.5 * c * p.zz * dln_x;
    r.i_phi += 0.5 * c * p.zz * dln_phi;
  };
  for (std::size_t m = 0; m < net_.metals; ++m) {
    const double z0 = metal_charge[net_metal_[m]];
    add(r, net_.metal[m], metal_pool_[m], z0);
    moved(net_.metal[m], metal_pool_[m], z0, dln_metal_x_[m], dln_metal_phi_[m]);
  }
  for (std::size_t l = 0; l < net_.ligands; ++l) {
    const double z0 = ligand_charge[net_ligand_[l]];
    add(r, net_.ligand[l], ligand_pool_[l], z0);
    moved(net_.ligand[l], ligand_pool_[l], z0, dln_ligand_x[l], dln_ligand_phi[l]);
    for (std::size_t m = 0; m < net_.metals; ++m) {
      const double c = net_.bound[m][l];
      if (c == 0) continue;
      const double z00 = z0 + metal_charge[net_metal_[m]];
      add(r, c, complex_pool_[m][l], z00);
      moved(c, complex_pool_[m][l], z00, kappa_x[m][l] + dln_metal_x_[m] + dln_ligand_x[l],
            kappa_phi[m][l] + dln_metal_phi_[m] + dln_ligand_phi[l]);
    }
  }
}

Residuals Equilibrium::evaluate(double x, double q) {
  ++iterations_;
  const double h = std::exp(x);
  const double g = std::exp(k_.davies_slope() * davies(q));
  powers_ = powers_of(h, g);

  Residuals r;
  r.phi_q = q < davies_summit ? k_.davies_slope() * (1 / ((1 + q) * (1 + q)) - 2 * davies_linear * q) : 0;
  const double hydrogen = h * g, hydroxide = k_[k_water] / h * g;
  r.r1 = hydrogen - hydroxide - proton_;
  r.noise = hydrogen + hydroxide + std::abs(proton_);
  r.r1_x = hydrogen + hydroxide;
  r.r1_phi = hydrogen - hydroxide;
  r.r2 = 0.5 * (hydrogen + hydroxide + strong_anions_ + strong_cations_);
  r.i_x = 0.5 * (hydrogen - hydroxide);
  r.i_phi = 0.5 * (hydrogen + hydroxide);
  charge_ = hydrogen - hydroxide + strong_cations_ - strong_anions_;
  charge_scale_ = hydrogen + hydroxide + strong_cations_ + strong_anions_;

  if (ammonia_ > 0) add(r, ammonia_, pool_of<forms::ammonia>(powers_, k_), 0);
  if (silica_ > 0) add(r, silica_, pool_of<forms::silica>(powers_, k_), 0);
  for (std::size_t m = m_calcium; m <= m_iron; ++m)
    if (!metal_in_net_[m] && metal_total_[m] > 0) add(r, metal_total_[m], metal_pool(m), metal_charge[m]);
  for (std::size_t l = 0; l < ligand_count; ++l)
    if (!ligand_in_net_[l] && ligand_total_[l] > 0) add(r, ligand_total_[l], ligand_pool(l), ligand_charge[l]);
  if (net_.metals > 0) add_network(r);
  r.r2 -= q * q;
  return r;
}

// Carries the metals along a step, so that the next inner solve starts close.
void Equilibrium::follow(double dx, double dphi) {
  for (std::size_t m = 0; m < net_.metals; ++m) {
    const double d = dln_metal_x_[m] * dx + dln_metal_phi_[m] * dphi;
    net_.metal[m] *= d > 0 ? 1 + d : 1 / (1 - d);
  }
}

bool Equilibrium::newton(double ph_start) {
  x_ = std::clamp(-ph_start * ln10, x_low, x_high);
  const double h = std::exp(x_), hydroxide = k_[k_water] / h;
  double cations = strong_cations_ + h, anions = strong_anions_ + hydroxide;
  for (std::size_t m = 0; m < net_.metals; ++m)
    (metal_charge[net_metal_[m]] > 0 ? cations : anions) += net_.metal_total[m];
  double strength = std::max(cations, anions);  // weak ions make up the difference
  for (int step = 0; step < 40; ++step) {
    q_ = std::sqrt(strength);
    const Residuals r = evaluate(x_, q_);
    if (std::abs(r.r1) <= 1e-16 * r.noise && std::abs(r.r2) <= 1e-15 * strength) return true;
    const double phi_i = r.phi_q / (2 * q_);  // d phi / d I
    const double a12 = r.r1_phi * phi_i, a22 = r.i_phi * phi_i - 1;
    const double determinant = r.r1_x * a22 - a12 * r.i_x;
    double dx = (r.r2 * a12 - r.r1 * a22) / determinant;
    double di = (r.r1 * r.i_x - r.r2 * r.r1_x) / determinant;
    if (!(determinant < 0 && std::abs(dx) <= 1 &&
          std::abs(di) <= 0.9 * strength)) {  // far away: each unknown by its own equation
      dx = std::clamp(-r.r1 / r.r1_x, -4.0, 4.0);
      di = r.r2;
    }
    x_ = std::clamp(x_ + dx, x_low, x_high);
    follow(dx, phi_i * di);
    strength += di;
    if (std::abs(dx) <= 3e-8 && std::abs(di) <= 3e-8 * strength) {
      q_ = std::sqrt(strength);
      return true;
    }
  }
  return false;
}

// The root of R1 in x at a given q.
double Equilibrium::root_at(double q, double x) {
  double low = x_low, high = x_high;
  for (int step = 0; step < 200; ++step) {
    const Residuals r = evaluate(x, q);
    if (std::abs(r.r1) <= 1e-16 * r.noise) return x;
    (r.r1 < 0 ? low : high) = x;
    double next = x - r.r1 / r.r1_x;
    if (!(next > low && next < high)) next = 0.5 * (low + high);
    if (std::abs(next - x) <= 1e-14 || high - low <= 1e-14) return next;
    x = next;
  }
  return x;
}

void Equilibrium::nested() {
  double greatest = 0.5 * std::abs(proton_) + 0.5 * (strong_anions_ + strong_cations_) + ammonia_ + 4 * silica_ + 1;
  for (double t : metal_total_) greatest += 9 * t;
  for (double t : ligand_total_) greatest += 9 * t;
  double low = 0, high = std::sqrt(greatest + 1e4);  // [H+] and [OH-] at the ends of x included
  double x = -7 * ln10;
  for (int step = 0; step < 200 && high - low > 1e-15 * high; ++step) {
    const double q = 0.5 * (low + high);
    x = root_at(q, x);
    (evaluate(x, q).r2 > 0 ? low : high) = q;
  }
  q_ = 0.5 * (low + high);
  x_ = root_at(q_, x);
  const Residuals r = evaluate(x_, q_);
  if (!(std::abs(r.r1) <= 1e-11 * r.noise + 1e-12 * r.r1_x))
    throw NumericsError("speciation", iterations_, r.r1, "mol/kg");
}

void Equilibrium::solve(double ph_start) {
  if (!(ph_start > -4 && ph_start < 18)) ph_start = 7;
  if (!newton(ph_start)) nested();
}

void Equilibrium::report(Speciation& out) const {
  out.iterations = iterations_;
  const double h = std::exp(x_);
  out.ph = ph();
  out.hydrogen_activity = h;
  out.hydroxide_activity = k_[k_water] / h;
  out.ionic_strength = q_ * q_;
  out.charge_residual = charge_scale_ > 0 ? charge_ / charge_scale_ : 0;

  std::array<double, metal_count> metal = metal_total_;
  std::array<double, ligand_count> ligand = ligand_total_;
  for (std::size_t m = 0; m < net_.metals; ++m) metal[net_metal_[m]] = net_.metal[m];
  for (std::size_t l = 0; l < net_.ligands; ++l) {
    ligand[net_ligand_[l]] = net_.ligand[l];
    if (net_ligand_[l] == l_hypochlorite)
      for (std::size_t m = 0; m < net_.metals; ++m) out.chlorine += net_.bound[m][l];
  }
  out.iron_free = metal[m_iron];
  out.citrate_free = ligand[l_citrate];
  out.edta_free = ligand[l_edta];
  out.calcium_activity = metal[m_calcium] / metal_pool(m_calcium).sum;
  out.sulfate_activity = ligand[l_sulfate] / ligand_pool(l_sulfate).sum;
  out.carbonate_activity = ligand[l_carbonate] / ligand_pool(l_carbonate).sum;
  out.bicarbonate_activity = out.carbonate_activity * k_[k_hco3] * h;
  out.carbonic_acid = out.carbonate_activity * k_[k_h2co3] * h * h;
  out.hypochlorous = ligand[l_hypochlorite] / ligand_pool(l_hypochlorite).sum * k_[k_hocl] * h;
  out.ammonia_free = ammonia_ / pool_of<forms::ammonia>(powers_, k_).sum;
}

// The start that leads to this answer.
void Equilibrium::keep(SpeciationStart start) const {
  start[start_ph] = ph();
  start[start_ionic_strength] = q_ * q_;
  for (std::size_t m = m_calcium; m <= m_iron; ++m) start[start_calcium + m] = metal_total_[m] / metal_pool(m).sum;
  for (std::size_t m = 0; m < net_.metals; ++m)
    if (net_metal_[m] <= m_iron) start[start_calcium + net_metal_[m]] = net_.metal[m] / metal_pool_[m].sum;
}

}  // namespace

Speciation speciate(std::span<const double> amounts, double ph_start) {
  WETRUN_REQUIRE(amounts.size() >= component_count);
  Equilibrium e(amounts);
  e.solve(ph_start);
  e.refresh();
  Speciation out;
  e.report(out);
  return out;
}

Speciation speciate(std::span<const double> amounts, SpeciationStart start) {
  WETRUN_REQUIRE(amounts.size() >= component_count);
  Speciation out;
  if (speciate_nearby(amounts.data(), start.data(), &out)) return out;
  Equilibrium e(amounts);
  e.solve(start[start_ph]);
  e.refresh();
  e.report(out);
  e.keep(start);
  return out;
}

double solve_ph(std::span<const double> amounts, SpeciationStart start) {
  WETRUN_REQUIRE(amounts.size() >= component_count);
  if (speciate_nearby(amounts.data(), start.data(), nullptr)) return start[start_ph];
  Equilibrium e(amounts);
  e.solve(start[start_ph]);
  e.refresh();
  e.keep(start);
  return e.ph();
}

double solve_ph(std::span<const double> amounts, double ph_start) {
  WETRUN_REQUIRE(amounts.size() >= component_count);
  Equilibrium e(amounts);
  e.solve(ph_start);
  return e.ph();
}

}  // namespace wetrun
