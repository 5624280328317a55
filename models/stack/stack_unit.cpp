#include "models/stack/stack_unit.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "models/mixing/start_rows.h"
#include "models/water/water.h"

namespace wetrun {
namespace {

constexpr double faraday = 96485.33212;         // C/mol, CODATA 2018
constexpr double damage_time_s = 500 * 3600.0;  // as the array's
constexpr double least_flow_share = 0.3;        // of rated: below it the stack burns under power (invented)
constexpr double burn_time_s = 30;              // at rated power and no flow (invented)
constexpr double chlorine_g_mol = 70.906;
constexpr double smell_mol = 0.1 / chlorine_g_mol;  // a tenth of a gram in the room is smelt (invented)
constexpr double limit_slack = 1e-6;

}  // namespace

double conductivity_s_m(std::span<const double> amounts, double ph) {
  const double v = amounts[volume_m3];
  if (!(v > 0)) return 1e-6;
  const auto c = [&](Component j) { return std::max(amounts[j], 0.0) / v; };  // mol/m3
  const double kelvin = temperature_k(amounts.data());
  const double pkw = water_pkw(kelvin, water_density_kg_m3(kelvin));
  // S m2/mol: limiting conductance per equivalent times |z| (handbook values at 25 degC, from memory).
  const double hydrogen = std::exp(-ph * std::numbers::ln10), hydroxide = std::exp((ph - pkw) * std::numbers::ln10);
  double sum = 350e-4 * 1000 * hydrogen + 198e-4 * 1000 * hydroxide;
  sum += 50e-4 * c(sodium) + 119e-4 * c(calcium) + 106e-4 * c(magnesium) + 76e-4 * c(chloride) + 160e-4 * c(sulfate);
  sum += 44.5e-4 * c(carbonate) + 70e-4 * c(citrate) + 70e-4 * c(phosphate) + 90e-4 * c(edta) + 52e-4 * c(hypochlorite);
  sum += 24e-4 * c(surfactant);
  return std::max(sum * (1 + 0.02 * (kelvin - 298.15)), 1e-6);  // 2 % per kelvin (common practice)
}

Deposit StackUnit::deposit(std::span<const double> x) const {
  Deposit d;
  std::copy_n(x.begin() + mobile, foulant_count, d.mobile.begin());
  std::copy_n(x.begin() + fixed, foulant_count, d.fixed.begin());
  return d;
}

double StackUnit::open_fraction(std::span<const double> x) const {
  return std::max(1 - 2 * deposit_thickness(deposit(x)) / spec_.gap_m, 0.1);
}

double StackUnit::dirt_kg(const World& world) const {
  const auto resin = world.cell(resin_);
  double sum = 0;
  for (std::size_t f = 0; f < foulant_count; ++f) sum += std::max(resin[first_solid + f], 0.0);
  return sum;
}

void StackUnit::decide(const World& world, const Decision& d) const {
  const double p = world.pressure(feed_);
  d.memory[peak_feed_pa] = std::max(d.memory[peak_feed_pa], p);
  if (p >= spec_.pressure_limit_pa * (1 - limit_slack)) d.memory[leaking] = 1;
  if (d.x[burn] >= 1) d.memory[burnt] = 1;
  const double brine = d.aux[ph_brine], dilute = d.aux[ph_dilute];
  const bool chemical = std::min(brine, dilute) < 4 || std::max(brine, dilute) > 10;
  if (energised(d.control) && chemical) d.memory[powered_with_chemical] = 1;
}

void StackUnit::indicators(const World& world, const OwnNumbers& own, std::span<double> z) const {
  z[0] = own.memory[leaking] > 0 ? 1 : 1 - world.pressure(feed_) / spec_.pressure_limit_pa;
}

void StackUnit::condition(const World& world, const OwnNumbers& own, const Network& network,
                          NetworkState& state) const {
  const double o = open_fraction(own.x);
  state.setting(network, brine_link_)[0] = 1 / (o * o * o);
  state.setting(network, dilute_link_)[0] = 1 + dirt_kg(world) / spec_.dirt_doubling_kg;
}

RemovalConditions StackUnit::conditions(const World& world, const Speciation& s, std::span<const double> x) const {
  RemovalConditions c = liquid_conditions(world.cell(brine_), s);
  const double open = open_fraction(x);
  const double width = std::sqrt(spec_.pair_area_m2);  // a square pair
  c.velocity_m_s = world.flow(brine_link_) / (spec_.pairs * width * spec_.gap_m * open);
  c.hydraulic_diameter_m = spec_.gap_m * open;  // spacer-filled: about half of an empty slit's
  return c;
}

void StackUnit::couple(const World& world, const OwnNumbers& own, std::span<double> aux) const {
  const auto brine = world.cell(brine_), dilute = world.cell(dilute_);
  const Speciation s = speciate(brine, start_at(aux, ph_brine));
  solve_ph(dilute, start_at(aux, ph_dilute));
  aux[outside] = std::max(spec_.envelope.outside(s.ph, temperature_k(brine.data())),
                          spec_.envelope.outside(aux[ph_dilute], temperature_k(dilute.data())));
  aux[harm_1_s] = aux[outside] > 0 ? (std::pow(10.0, std::min(aux[outside], 6.0)) - 1) / damage_time_s : 0;
  const RemovalCoefficients k = removal_coefficients(conditions(world, s, own.x), deposit(own.x));
  std::copy(k.dissolve.begin(), k.dissolve.end(), aux.begin() + dissolve);
  std::copy(k.detach.begin(), k.detach.end(), aux.begin() + detach);
  std::copy(k.pack.begin(), k.pack.end(), aux.begin() + pack);
  const double kappa_d = conductivity_s_m(dilute, aux[ph_dilute]) + 0.05;  // + what the resin conducts (invented)
  const double ohm = spec_.pairs / spec_.pair_area_m2 *
                     (spec_.gap_m / kappa_d + spec_.gap_m / conductivity_s_m(brine, s.ph) + spec_.membrane_ohm_m2);
  const bool conducts = energised(own.control) && own.memory[burnt] == 0;
  aux[current_a] = conducts ? std::min(spec_.max_current_a, spec_.max_voltage_v / ohm) : 0.0;
  aux[voltage_v] = aux[current_a] * ohm;
}

void StackUnit::rates(const World& world, const OwnNumbers& own, const Rates& r) const {
  RemovalCoefficients k;
  std::copy_n(own.aux.begin() + dissolve, foulant_count, k.dissolve.begin());
  std::copy_n(own.aux.begin() + detach, foulant_count, k.detach.begin());
  std::copy_n(own.aux.begin() + pack, foulant_count, k.pack.begin());
  const RemovalRates leave = removal_rates(k, deposit(own.x));
  const double area = spec_.area_m2();
  const auto brine = r.cell(brine_), dilute = r.cell(dilute_);
  const auto pass = r.passing(filter_);
  for (std::size_t f = 0; f < foulant_count; ++f) {
    r.dxdt[mobile + f] = -leave.dissolve[f] - leave.detach[f] - leave.pack[f];
    r.dxdt[fixed + f] = leave.pack[f];
    brine[first_solid + f] += area * leave.detach[f];
    add_dissolved(static_cast<Foulant>(f), area * leave.dissolve[f], brine);
    pass[first_solid + f] = 1 - spec_.dirt_catch;
  }
  r.dxdt[dissolved] = area * leave.dissolve[carbonate_scale];
  const double amps = own.aux[current_a], watts = amps * own.aux[voltage_v];
  dilute[heat_j] += watts;
  r.dxdt[heat_in] = watts;
  r.dxdt[exposure_s] = own.aux[outside] > 0 ? 1 : 0;
  r.dxdt[damage] = own.aux[harm_1_s];
  const auto in_brine = world.cell(brine_);
  const double salt = std::max(in_brine[chloride], 0.0) / in_brine[volume_m3];
  r.dxdt[chlorine_mol] = amps / (2 * faraday) * salt / (salt + 100.0);
  const double flow_share = std::min(std::fabs(world.flow(dilute_link_)) / spec_.dilute_flow_m3_s,
                                     std::fabs(world.flow(brine_link_)) / spec_.concentrate_flow_m3_s);
  const double rated = spec_.max_current_a * spec_.max_voltage_v;
  const double hot = std::max(1 - flow_share / least_flow_share, 0.0);
  r.dxdt[burn] = std::max(watts / rated, 0.3 * (watts > 0 ? 1.0 : 0.0)) * hot / burn_time_s;
}

void StackUnit::holdings(const OwnNumbers& own, const Holdings& held) const {
  for (std::size_t f = 0; f < foulant_count; ++f)
    held.add(first_solid + f, spec_.area_m2() * (own.x[mobile + f] + own.x[fixed + f]));
  held.add(heat_j, -own.x[heat_in]);
}

void StackUnit::observe(const World& world, const OwnNumbers& own, std::span<double> r) const {
  const double w_d = world.fluid[dilute_link_.index()].density_kg_m3 * gravity_m_s2;
  const double w_b = world.fluid[brine_link_.index()].density_kg_m3 * gravity_m_s2;
  double scale = 0;
  for (std::size_t f = 0; f < foulant_count; ++f) scale += spec_.area_m2() * (own.x[mobile + f] + own.x[fixed + f]);
  std::size_t i = 0;
  r[i++] = world.pressure(feed_);
  r[i++] = world.pressure(feed_) - world.pressure(product_) + w_d * (feed_m_ - product_m_);
  r[i++] = world.pressure(feed_) - world.pressure(concentrate_) + w_b * (feed_m_ - concentrate_m_);
  r[i++] = world.flow(dilute_link_);
  r[i++] = world.flow(brine_link_);
  r[i++] = world.pressure(product_) - world.pressure(concentrate_);
  r[i++] = energised(own.control) ? 1 : 0;
  r[i++] = own.control[lock] > 0.5 ? 1 : 0;
  r[i++] = own.aux[current_a];
  r[i++] = own.aux[voltage_v];
  r[i++] = own.memory[leaking];
  r[i++] = own.x[chlorine_mol] > smell_mol ? 1 : 0;
  r[i++] = own.memory[burnt];
  r[i++] = std::min(own.x[burn], 1.0);
  r[i++] = own.x[chlorine_mol] * chlorine_g_mol / 1000;
  r[i++] = own.memory[powered_with_chemical];
  r[i++] = own.memory[peak_feed_pa];
  r[i++] = scale;
  r[i++] = spec_.area_m2() * (own.x[mobile] + own.x[fixed]);
  r[i++] = dirt_kg(world);
  r[i++] = own.x[dissolved];
  r[i++] = own.aux[ph_dilute];
  r[i++] = own.aux[ph_brine];
  r[i++] = std::max(temperature_k(world.cell(brine_).data()), temperature_k(world.cell(dilute_).data()));
  r[i++] = own.x[exposure_s];
  r[i++] = own.x[damage];
  WETRUN_REQUIRE(i == r.size());
}

namespace {
std::unique_ptr<Unit> make_stack(UnitRequest& request) {
  return std::make_unique<StackUnit>(read_stack_spec(request.table), request);
}
}  // namespace

void register_stack(UnitRegistry& registry) {
  registry.add("stack", "electrodeionisation stack with dilute and concentrate streams", make_stack);
}

}  // namespace wetrun
