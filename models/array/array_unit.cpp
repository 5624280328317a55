#include "models/array/array_unit.h"

#include <algorithm>
#include <cmath>

#include "models/array/array.h"
#include "models/array/normalise.h"
#include "models/array/permeation_law.h"
#include "models/array/rejection.h"
#include "models/solution/properties.h"
#include "models/water/water.h"

namespace wetrun {
namespace {

constexpr double least_open = 0.05;
constexpr double damage_time_s = 500 * 3600.0;  // see array.h
constexpr double chlorine_dose_ppm_s = 1000 * 3600.0;
constexpr double chlorine_g_mol = 70.906;  // free chlorine is reckoned as Cl2
constexpr double telescope_relief = 0.7, telescope_passage = 1.5, delaminated_passage = 3.0;  // invented
constexpr double limit_slack = 1e-6;

/// Osmotic pressure [Pa] of free strong acid or base, two particles each; half of it passes the membrane and counts
/// half.
double strong_osmotic_pa(double mol_m3, double kelvin) { return 2 * 8.314462618 * kelvin * mol_m3; }

/// Free strong acid or base in the permeate [mol/m3], where pH is not solved: what TOTH, chloride and sodium say.
double permeate_strong_mol_m3(std::span<const double> a) {
  const double acid = std::min(std::max(a[proton], 0.0), std::max(a[chloride], 0.0));
  const double base = std::min(std::max(-a[proton], 0.0), std::max(a[sodium], 0.0));
  return (acid + base) / a[volume_m3];
}

}  // namespace

Deposit ArrayUnit::deposit(std::span<const double> x, std::size_t position) const {
  Deposit d;
  const auto own = x.subspan(position * deposit_states, deposit_states);
  std::copy_n(own.begin(), foulant_count, d.mobile.begin());
  std::copy_n(own.begin() + foulant_count, foulant_count, d.fixed.begin());
  return d;
}

double ArrayUnit::open_fraction(std::span<const double> x, std::size_t position) const {
  return std::max(1.0 - 2.0 * deposit_thickness(deposit(x, position)) / spec_.channel_height_m, least_open);
}

double ArrayUnit::narrowing(std::span<const double> x, std::span<const double> memory, std::size_t position) const {
  const double o = open_fraction(x, position);
  return (memory[position] > 0 ? telescope_relief : 1.0) / (o * o * o);
}

double ArrayUnit::link_drop_pa(const World& world, std::size_t link) const {
  const double weight = world.fluid[channel_[link].index()].density_kg_m3 * gravity_m_s2;
  return world.pressure(nodes_[link]) - world.pressure(nodes_[link + 1]) +
         weight * (node_elevation_m_[link] - node_elevation_m_[link + 1]);
}

double ArrayUnit::element_drop_pa(const World& world, std::span<const double> x, std::span<const double> memory,
                                  std::size_t i) const {
  const double here = narrowing(x, memory, i);
  double drop = 0;
  drop += i == 0 ? link_drop_pa(world, 0) : link_drop_pa(world, i) * here / (here + narrowing(x, memory, i - 1));
  drop += i + 1 == spec_.elements ? link_drop_pa(world, i + 1)
                                  : link_drop_pa(world, i + 1) * here / (here + narrowing(x, memory, i + 1));
  return std::fabs(drop);
}

double ArrayUnit::salt_passage(std::span<const double> x, std::span<const double> memory, std::size_t i) const {
  const Deposit d = deposit(x, i);
  double fouled = 1;
  for (std::size_t f = 0; f < foulant_count; ++f) {
    fouled += foulant_info[f].salt_passage_per_kg_m2 * (std::max(d.mobile[f], 0.0) + d.fixed[f]);
  }
  const double harmed = (1 + tail(x, damage)) * (1 + tail(x, chlorine_ppm_s) / chlorine_dose_ppm_s) *
                        (memory[i] > 0 ? telescope_passage : 1.0) *
                        (late(memory, delaminated) > 0 ? delaminated_passage : 1.0);
  return std::clamp(spec_.salt_passage * std::max(fouled, 0.2) * harmed, 0.0, 1.0);
}

double ArrayUnit::membrane_m_s_pa(std::span<const double> x) const {
  return spec_.permeability_m_s_pa * (1 + tail(x, swelling)) * (1 + 0.3 * tail(x, damage));
}

double ArrayUnit::permeability(std::span<const double> x, bool settled) const {
  const double membrane = settled ? spec_.permeability_m_s_pa : membrane_m_s_pa(x);
  const double viscosity = water_viscosity_pa_s(298.15);
  double sum = 0;
  for (std::size_t i = 0; i < spec_.elements; ++i) {
    sum += 1.0 / (1.0 / membrane + viscosity * deposit_resistance(deposit(x, i)));
  }
  return sum / static_cast<double>(spec_.elements);
}

double ArrayUnit::normalised_drop_pa(std::span<const double> x, std::span<const double> memory) const {
  const double flow = spec_.reference_flow_m3_s * static_cast<double>(spec_.vessels);
  const Fluid water{water_density_kg_m3(298.15), water_viscosity_pa_s(298.15)};
  double sum = 0;
  for (std::size_t i = 0; i < spec_.elements; ++i) {
    const double open = std::min(std::cbrt(1.0 / narrowing(x, memory, i)), 1.0);
    sum += whole_->eval(flow, 0, water, std::array{open}).drop_pa;
  }
  return sum;
}

void ArrayUnit::bind(const Directory& directory) {
  nodes_.assign(1, directory.node(spec_.feed));
  channel_.clear();
  permeation_.clear();
  for (std::size_t i = 0; i < spec_.elements; ++i) {
    const std::string n = std::to_string(i + 1);
    nodes_.push_back(directory.node(name_ + ".position_" + n));
    permeation_.push_back(directory.link(name_ + ".permeation_" + n));
  }
  nodes_.push_back(directory.node(spec_.concentrate));
  for (std::size_t i = 0; i <= spec_.elements; ++i) {
    channel_.push_back(directory.link(name_ + ".channel_" + std::to_string(i)));
  }
  permeate_node_ = directory.node(spec_.permeate);
  node_elevation_m_.clear();
  for (const NodeId node : nodes_) node_elevation_m_.push_back(directory.elevation_m(node));
}

void ArrayUnit::decide(const World& world, const Decision& d) const {
  const std::size_t n = spec_.elements;
  const auto last = d.memory.subspan(n);
  double worst = 0, whole = 0, back = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const double drop = element_drop_pa(world, d.x, d.memory, i);
    whole += drop;
    worst = std::max(worst, drop);
    if (drop >= spec_.element_dp_limit_pa * (1 - limit_slack)) d.memory[i] = 1;
    back = std::max(back, world.pressure(permeate_node_) - world.pressure(nodes_[i + 1]));
    const double kelvin = temperature_k(world.cell(cells_[i]).data());
    last[peak_temperature_k] = std::max(last[peak_temperature_k], kelvin);
    const double now = d.aux[i * aux_per_position + ph];
    last[lowest_ph] = std::min(last[lowest_ph], now);
    last[highest_ph] = std::max(last[highest_ph], now);
  }
  if (whole >= spec_.vessel_dp_limit_pa * (1 - limit_slack)) d.memory[n - 1] = 1;
  if (back >= spec_.back_limit_pa * (1 - limit_slack)) last[delaminated] = 1;
  last[peak_feed_pa] = std::max(last[peak_feed_pa], world.pressure(nodes_[0]));
  last[peak_element_dp_pa] = std::max(last[peak_element_dp_pa], worst);
}

void ArrayUnit::indicators(const World& world, const OwnNumbers& own, std::span<double> z) const {
  const std::size_t n = spec_.elements;
  z[0] = z[1] = z[2] = 1;
  double whole = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const double drop = element_drop_pa(world, own.x, own.memory, i);
    whole += drop;
    if (own.memory[i] == 0) z[0] = std::min(z[0], 1 - drop / spec_.element_dp_limit_pa);
    if (late(own.memory, delaminated) == 0) {
      z[2] = std::min(z[2], 1 - (world.pressure(permeate_node_) - world.pressure(nodes_[i + 1])) / spec_.back_limit_pa);
    }
  }
  if (own.memory[n - 1] == 0) z[1] = 1 - whole / spec_.vessel_dp_limit_pa;
}

void ArrayUnit::condition(const World& world, const OwnNumbers& own, const Network& network,
                          NetworkState& state) const {
  const std::size_t n = spec_.elements;
  const double membrane = membrane_m_s_pa(own.x);
  const auto permeate = world.cell(permeate_cell_);
  for (std::size_t i = 0; i <= n; ++i) {
    const double up = narrowing(own.x, own.memory, i == 0 ? 0 : i - 1);
    const double down = narrowing(own.x, own.memory, i == n ? n - 1 : i);
    state.setting(network, channel_[i])[0] = std::min(std::cbrt(2.0 / (up + down)), 1.0);
  }
  for (std::size_t i = 0; i < n; ++i) {
    const auto cell = world.cell(cells_[i]);
    const double kelvin = temperature_k(cell.data());
    const double per_area = 1.0 / (membrane * temperature_correction(kelvin)) +
                            water_viscosity_pa_s(kelvin) * deposit_resistance(deposit(own.x, i));
    const auto setting = state.setting(network, permeation_[i]);
    setting[0] = per_area / spec_.area_m2();
    const auto a = own.aux.subspan(i * aux_per_position, aux_per_position);
    const double here = std::min(a[hydrogen] + a[hydroxide], std::max(cell[chloride], 0.0) / cell[volume_m3] +
                                                                 std::max(cell[sodium], 0.0) / cell[volume_m3]);
    const double strong = strong_osmotic_pa(here, kelvin) - strong_osmotic_pa(permeate_strong_mol_m3(permeate), kelvin);
    const double all = osmotic_pressure_pa(cell.data()) - osmotic_pressure_pa(permeate.data());
    setting[1] = (1 - salt_passage(own.x, own.memory, i)) * (all - strong_passage * strong);
  }
}

RemovalConditions ArrayUnit::removal_conditions(const World& world, std::size_t i, const Speciation& s,
                                                double open) const {
  RemovalConditions c = liquid_conditions(world.cell(cells_[i]), s);
  const double through = 0.5 * (world.flow(channel_[i]) + world.flow(channel_[i + 1]));
  c.velocity_m_s = whole_->velocity_m_s(through, open);
  c.permeation_m_s = world.flow(permeation_[i]) / spec_.area_m2();
  c.hydraulic_diameter_m = spec_.channel.hydraulic_diameter_m * open;
  return c;
}

void ArrayUnit::couple(const World& world, const OwnNumbers& own, std::span<double> aux) const {
  for (std::size_t i = 0; i < spec_.elements; ++i) {
    const auto cell = world.cell(cells_[i]);
    const auto out = aux.subspan(i * aux_per_position, aux_per_position);
    const Speciation s = speciate(cell, out[ph]);
    const double kelvin = temperature_k(cell.data()), density = water_density_kg_m3(kelvin);
    const Deposit d = deposit(own.x, i);
    const RemovalConditions c = removal_conditions(world, i, s, open_fraction(own.x, i));
    const RemovalCoefficients k = removal_coefficients(c, d);
    std::copy(k.dissolve.begin(), k.dissolve.end(), out.begin() + dissolve);
    std::copy(k.detach.begin(), k.detach.end(), out.begin() + detach);
    std::copy(k.pack.begin(), k.pack.end(), out.begin() + pack);
    out[ph] = s.ph;
    out[carbon_dioxide] = s.carbonic_acid * density;
    out[ammonia_free] = s.ammonia_free * density;
    out[hydrogen] = s.hydrogen_activity * density;
    out[hydroxide] = std::pow(10.0, s.ph - water_pkw(kelvin, density)) * density;
    out[chlorine_ppm] = std::max(cell[hypochlorite], 0.0) / cell[volume_m3] * chlorine_g_mol;  // g/m3
    out[outside] = spec_.envelope.outside(s.ph, kelvin);
  }
}

void ArrayUnit::rates(const World& world, const OwnNumbers& own, const Rates& r) const {
  const std::size_t n = spec_.elements, tail_at = n * deposit_states;
  const double area = spec_.area_m2();
  const auto permeate = r.cell(permeate_cell_);
  double worst_outside = 0, chlorine = 0, hydroxide_mol_l = 0, acid = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const auto a = own.aux.subspan(i * aux_per_position, aux_per_position);
    RemovalCoefficients k;
    std::copy_n(a.begin() + dissolve, foulant_count, k.dissolve.begin());
    std::copy_n(a.begin() + detach, foulant_count, k.detach.begin());
    std::copy_n(a.begin() + pack, foulant_count, k.pack.begin());
    const RemovalRates leave = removal_rates(k, deposit(own.x, i));

    const double through = 0.5 * (world.flow(channel_[i]) + world.flow(channel_[i + 1]));
    const double velocity = whole_->velocity_m_s(through, open_fraction(own.x, i));
    const Rejection rejection{salt_passage(own.x, own.memory, i),
                              settling_share(velocity),
                              a[carbon_dioxide],
                              a[ammonia_free],
                              a[hydrogen],
                              a[hydroxide]};
    FoulantAmounts settled{};
    const auto to_cell = r.cell(cells_[i]);
    add_rejection(rejection, world.flow(permeation_[i]), world.cell(cells_[i]), r.passing(filters_[i]), to_cell, permeate,
                  settled);

    for (std::size_t f = 0; f < foulant_count; ++f) {
      const std::size_t mobile = i * deposit_states + f;
      r.dxdt[mobile] = settled[f] / area - leave.dissolve[f] - leave.detach[f] - leave.pack[f];
      r.dxdt[mobile + foulant_count] = leave.pack[f];
      to_cell[first_solid + f] += area * leave.detach[f];
      add_dissolved(static_cast<Foulant>(f), area * leave.dissolve[f], to_cell);
      r.dxdt[tail_at + dissolved + f] += area * leave.dissolve[f];
    }
    worst_outside = std::max(worst_outside, a[outside]);
    chlorine = std::max(chlorine, a[chlorine_ppm]);
    hydroxide_mol_l += a[hydroxide] / 1000.0 / static_cast<double>(n);
    acid += (a[ph] < 4 ? 1.0 : 0.0) / static_cast<double>(n);
  }
  r.dxdt[tail_at + exposure_s] = worst_outside > 0 ? 1.0 : 0.0;
  r.dxdt[tail_at + damage] = (std::pow(10.0, std::min(worst_outside, 6.0)) - 1) / damage_time_s;
  r.dxdt[tail_at + chlorine_ppm_s] = chlorine;
  const double caustic = hydroxide_mol_l / (hydroxide_mol_l + 0.02);
  const double target = 0.15 * caustic - 0.03 * acid;
  const double chemical = std::clamp(acid + 5.0 * caustic, 0.0, 1.0);
  r.dxdt[tail_at + swelling] = (target - tail(own.x, swelling)) * (chemical / 1200.0 + (1 - chemical) / 43200.0);
}

void ArrayUnit::holdings(const OwnNumbers& own, std::span<double> totals) const {
  for (std::size_t i = 0; i < spec_.elements; ++i) {
    const auto d = own.x.subspan(i * deposit_states, deposit_states);
    for (std::size_t f = 0; f < foulant_count; ++f) {
      totals[first_solid + f] += spec_.area_m2() * (d[f] + d[f + foulant_count]);
    }
  }
}

namespace {
std::unique_ptr<Unit> make_array(UnitRequest& request) {
  return std::make_unique<ArrayUnit>(read_array_spec(request.table), request);
}
}  // namespace

void register_array(UnitRegistry& registry) {
  registry.add("array", "reverse-osmosis vessels in parallel, elements in series", make_array);
}

}  // namespace wetrun
