#include "models/array/array_unit.h"

#include <algorithm>
#include <cmath>

#include "models/array/array.h"
#include "models/array/normalise.h"
#include "models/array/permeation_law.h"
#include "models/array/rejection.h"
#include "models/mixing/rows.h"
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

DepositEffect ArrayUnit::effect(std::span<const double> x, std::size_t position) const {
  const std::span<const double, deposit_states> own(x.data() + position * deposit_states, deposit_states);
  return deposit_effect(own.first<foulant_count>(), own.last<foulant_count>());
}

double ArrayUnit::open_fraction(const DepositEffect& effect) const {
  return std::max(1.0 - 2.0 * effect.thickness_m / spec_.channel_height_m, least_open);
}

double ArrayUnit::relieved(double narrowness, double telescoped) const {
  return telescoped > 0 ? telescope_relief * narrowness : narrowness;
}

double ArrayUnit::link_drop_pa(const World& world, std::size_t link) const {
  return world.pressure(nodes_[link]) - world.pressure(nodes_[link + 1]) +
         world.fluid[channel_[link].index()].density_kg_m3 * rise_[link];
}

/// Links between two elements drop in both, by their narrowness.
ArrayUnit::Drops ArrayUnit::drops(const World& world, const OwnNumbers& own) const {
  const std::size_t n = spec_.elements;
  Drops d;
  const auto of = [&](std::size_t i) { return relieved(own.aux[i * aux_per_position + narrow], own.memory[i]); };
  double before = 0, here = of(0);
  d.along_pa = d.element_pa[0] = link_drop_pa(world, 0);
  for (std::size_t i = 1; i < n; ++i) {
    before = here;
    here = of(i);
    const double drop = link_drop_pa(world, i), share = here / (here + before);
    d.along_pa += drop;
    d.element_pa[i - 1] += drop * (1 - share);
    d.element_pa[i] = drop * share;
  }
  const double last = link_drop_pa(world, n);
  d.along_pa += last;
  d.element_pa[n - 1] += last;
  for (std::size_t i = 0; i < n; ++i) d.sum_pa += d.element_pa[i] = std::fabs(d.element_pa[i]);
  return d;
}

double ArrayUnit::back_pressure_pa(const World& world) const {
  double least = world.pressure(nodes_[1]);
  for (std::size_t i = 2; i <= spec_.elements; ++i) least = std::min(least, world.pressure(nodes_[i]));
  return world.pressure(permeate_node_) - least;
}

double ArrayUnit::bare_passage(std::span<const double> x, std::span<const double> memory, std::size_t i) const {
  return spec_.salt_passage * (1 + tail(x, damage)) * (1 + tail(x, chlorine_ppm_s) / chlorine_dose_ppm_s) *
         (memory[i] > 0 ? telescope_passage : 1.0) * (late(memory, delaminated) > 0 ? delaminated_passage : 1.0);
}

double ArrayUnit::membrane_m_s_pa(std::span<const double> x) const {
  return spec_.permeability_m_s_pa * (1 + tail(x, swelling)) * (1 + 0.3 * tail(x, damage));
}

ArrayUnit::Permeability ArrayUnit::permeability(std::span<const double> x) const {
  const double viscosity = water_viscosity_pa_s(298.15), now = 1.0 / membrane_m_s_pa(x);
  const double settled = 1.0 / spec_.permeability_m_s_pa;
  Permeability sum;
  for (std::size_t i = 0; i < spec_.elements; ++i) {
    const double layer = viscosity * effect(x, i).resistance_1_m;
    sum.now += 1.0 / (now + layer);
    sum.settled += 1.0 / (settled + layer);
  }
  const double n = static_cast<double>(spec_.elements);
  return {sum.now / n, sum.settled / n};
}

/// At a given flow the drop goes as the narrowness (channel_law.h); no channel is wider than a clean one.
double ArrayUnit::normalised_drop_pa(std::span<const double> x, std::span<const double> memory) const {
  double sum = 0;
  for (std::size_t i = 0; i < spec_.elements; ++i) {
    const double o = open_fraction(effect(x, i));
    sum += clean_drop_pa_ * std::max(relieved(1 / (o * o * o), memory[i]), 1.0);
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
  rise_.clear();
  for (std::size_t i = 0; i <= spec_.elements; ++i)
    rise_.push_back(gravity_m_s2 * (directory.elevation_m(nodes_[i]) - directory.elevation_m(nodes_[i + 1])));
}

void ArrayUnit::decide(const World& world, const Decision& d) const {
  const std::size_t n = spec_.elements;
  const auto last = d.memory.subspan(n);
  const Drops now = drops(world, {d.x, d.memory, d.control, d.fault, d.aux});
  double worst = 0, hottest = last[peak_temperature_k];
  for (std::size_t i = 0; i < n; ++i) {
    worst = std::max(worst, now.element_pa[i]);
    if (now.element_pa[i] >= spec_.element_dp_limit_pa * (1 - limit_slack)) d.memory[i] = 1;
    hottest = std::max(hottest, temperature_k(world.cell(cells_[i]).data()));
    const double acidity = d.aux[i * aux_per_position + ph];
    last[lowest_ph] = std::min(last[lowest_ph], acidity);
    last[highest_ph] = std::max(last[highest_ph], acidity);
  }
  last[peak_temperature_k] = hottest;
  if (now.sum_pa >= spec_.vessel_dp_limit_pa * (1 - limit_slack)) d.memory[n - 1] = 1;
  if (std::max(back_pressure_pa(world), 0.0) >= spec_.back_limit_pa * (1 - limit_slack)) last[delaminated] = 1;
  last[peak_feed_pa] = std::max(last[peak_feed_pa], world.pressure(nodes_[0]));
  last[peak_element_dp_pa] = std::max(last[peak_element_dp_pa], worst);
}

void ArrayUnit::indicators(const World& world, const OwnNumbers& own, std::span<double> z) const {
  const std::size_t n = spec_.elements;
  const Drops now = drops(world, own);
  double worst = 0;
  for (std::size_t i = 0; i < n; ++i)
    if (own.memory[i] == 0) worst = std::max(worst, now.element_pa[i]);
  z[0] = 1 - worst / spec_.element_dp_limit_pa;
  z[1] = own.memory[n - 1] == 0 ? 1 - now.sum_pa / spec_.vessel_dp_limit_pa : 1;
  z[2] = late(own.memory, delaminated) == 0 ? std::min(1 - back_pressure_pa(world) / spec_.back_limit_pa, 1.0) : 1;
}

/// Osmotic pressure of a cell; of free strong acid and base, which passes by half, half.
double ArrayUnit::osmotic_pa(std::span<const double> cell, const Speciation& liquid, double kelvin) const {
  const double salt = (std::max(cell[chloride], 0.0) + std::max(cell[sodium], 0.0)) / cell[volume_m3];
  const double density = water_density_kg_m3(kelvin);
  const double free = std::min((liquid.hydrogen_activity + liquid.hydroxide_activity) * density, salt);
  return osmotic_pressure_pa(cell.data()) - strong_passage * strong_osmotic_pa(free, kelvin);
}

/// Speciation in all channels, from the starts kept in aux.
void ArrayUnit::speciate_channels(const World& world, std::span<double* const> starts,
                                  std::span<Speciation> liquid) const {
  std::array<const double*, most_elements> amounts{};
  for (std::size_t i = 0; i < spec_.elements; ++i) amounts[i] = world.cell(cells_[i]).data();
  speciate_all(std::span(amounts).first(spec_.elements), starts.first(spec_.elements), liquid.first(spec_.elements));
}

void ArrayUnit::condition(const World& world, const OwnNumbers& own, const Network& network,
                          NetworkState& state) const {
  const std::size_t n = spec_.elements;
  const double membrane = membrane_m_s_pa(own.x), area = spec_.area_m2();
  const auto permeate = world.cell(permeate_cell_);
  const double permeate_osmotic = osmotic_pressure_pa(permeate.data());
  const double permeate_strong = strong_passage * permeate_strong_mol_m3(permeate);
  // Of this very liquid: what couple() left in aux is of the one before, and serves as a start only.
  std::array<std::array<double, start_count>, most_elements> kept{};
  std::array<double*, most_elements> starts{};
  std::array<Speciation, most_elements> liquid;
  for (std::size_t i = 0; i < n; ++i) {
    std::copy_n(own.aux.begin() + static_cast<std::ptrdiff_t>(i * aux_per_position + ph), start_count, kept[i].begin());
    starts[i] = kept[i].data();
  }
  speciate_channels(world, starts, liquid);
  double before = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const auto cell = world.cell(cells_[i]);
    const DepositEffect deposit = effect(own.x, i);
    const double o = open_fraction(deposit), here = relieved(1.0 / (o * o * o), own.memory[i]);
    state.setting(network, channel_[i])[0] = std::min(std::cbrt(2.0 / ((i == 0 ? here : before) + here)), 1.0);
    before = here;
    const double kelvin = temperature_k(cell.data());
    const double per_area =
        1.0 / (membrane * temperature_correction(kelvin)) + water_viscosity_pa_s(kelvin) * deposit.resistance_1_m;
    const double passing =
        std::clamp(bare_passage(own.x, own.memory, i) * std::max(1 + deposit.salt_passage, 0.2), 0.0, 1.0);
    const auto setting = state.setting(network, permeation_[i]);
    setting[0] = per_area / area;
    setting[1] = (1 - passing) *
                 (osmotic_pa(cell, liquid[i], kelvin) - permeate_osmotic + strong_osmotic_pa(permeate_strong, kelvin));
  }
  state.setting(network, channel_[n])[0] = std::min(std::cbrt(1.0 / before), 1.0);
}

void ArrayUnit::couple_position(const World& world, const OwnNumbers& own, std::size_t i, const Speciation& s,
                                std::span<double> out) const {
  const auto cell = world.cell(cells_[i]);
  const DepositEffect effect = this->effect(own.x, i);
  const double open = open_fraction(effect);
  RemovalConditions c = liquid_conditions(cell, s);
  c.velocity_m_s = whole_->velocity_m_s(0.5 * (world.flow(channel_[i]) + world.flow(channel_[i + 1])), open);
  c.permeation_m_s = world.flow(permeation_[i]) / spec_.area_m2();
  c.hydraulic_diameter_m = spec_.channel.hydraulic_diameter_m * open;
  const RemovalCoefficients k = removal_coefficients(c, deposit(own.x, i));
  std::copy(k.dissolve.begin(), k.dissolve.end(), out.begin() + dissolve);
  std::copy(k.detach.begin(), k.detach.end(), out.begin() + detach);
  std::copy(k.pack.begin(), k.pack.end(), out.begin() + pack);
  const double density = water_density_kg_m3(c.temperature_k);
  out[carbon_dioxide] = s.carbonic_acid * density;
  out[ammonia_free] = s.ammonia_free * density;
  out[hydrogen] = s.hydrogen_activity * density;
  out[hydroxide] = s.hydroxide_activity * density;
  out[chlorine_ppm] = std::max(cell[hypochlorite], 0.0) / cell[volume_m3] * chlorine_g_mol;  // g/m3
  out[outside] = spec_.envelope.outside(s.ph, c.temperature_k);
  out[narrow] = 1.0 / (open * open * open);
  out[passage] = std::clamp(bare_passage(own.x, own.memory, i) * std::max(1 + effect.salt_passage, 0.2), 0.0, 1.0);
  out[settling] = settling_share(c.velocity_m_s);
}

void ArrayUnit::couple(const World& world, const OwnNumbers& own, std::span<double> aux) const {
  const std::size_t n = spec_.elements;
  std::array<double*, most_elements> starts{};
  std::array<Speciation, most_elements> liquid;
  for (std::size_t i = 0; i < n; ++i) starts[i] = aux.data() + i * aux_per_position + ph;
  speciate_channels(world, starts, liquid);
  const double each = 1.0 / static_cast<double>(n);
  double worst = 0, chlorine = 0, hydroxide_mol_l = 0, acid = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const auto out = aux.subspan(i * aux_per_position, aux_per_position);
    couple_position(world, own, i, liquid[i], out);
    worst = std::max(worst, out[outside]);
    chlorine = std::max(chlorine, out[chlorine_ppm]);
    hydroxide_mol_l += each * out[hydroxide] / 1000.0;
    acid += each * (1 - smooth_step(out[ph], 3.5, 4.5));
  }
  const auto array = aux.subspan(n * aux_per_position);
  array[exposing] = worst > 0 ? 1 : 0;
  array[harm_1_s] = worst > 0 ? (std::pow(10.0, std::min(worst, 6.0)) - 1) / damage_time_s : 0;
  array[dose_ppm] = chlorine;
  const double caustic = hydroxide_mol_l / (hydroxide_mol_l + 0.02);
  const double chemical = std::clamp(acid + 5.0 * caustic, 0.0, 1.0);
  array[swelling_target] = 0.15 * caustic - 0.03 * acid;
  array[swelling_rate_1_s] = chemical / 1200.0 + (1 - chemical) / 43200.0;
}

void ArrayUnit::position_rates(const World& world, const OwnNumbers& own, std::size_t i, const Rates& r) const {
  const double area = spec_.area_m2(), per_area = 1 / area;
  const auto a = own.aux.subspan(i * aux_per_position, aux_per_position);
  const Rejection rejection{a[passage], a[settling], a[carbon_dioxide], a[ammonia_free], a[hydrogen], a[hydroxide]};
  FoulantAmounts settled{};
  const auto to_cell = r.cell(cells_[i]);
  add_rejection(rejection, world.flow(permeation_[i]), world.cell(cells_[i]), r.passing(filters_[i]), to_cell,
                r.cell(permeate_cell_), settled);
  const std::size_t at = i * deposit_states, total = spec_.elements * deposit_states + dissolved;
  for (std::size_t f = 0; f < foulant_count; ++f) {
    r.dxdt[at + f] = settled[f] * per_area;
    const double mobile = own.x[at + f];
    if (!(mobile > 0)) continue;
    const double dissolving = a[dissolve + f] * dissolving_share(f, mobile), lifting = a[detach + f] * mobile;
    const double packing = a[pack + f] * mobile;
    r.dxdt[at + f] -= dissolving + lifting + packing;
    r.dxdt[at + f + foulant_count] = packing;
    to_cell[first_solid + f] += area * lifting;
    add_dissolved(static_cast<Foulant>(f), area * dissolving, to_cell);
    r.dxdt[total + f] += area * dissolving;
  }
}

void ArrayUnit::rates(const World& world, const OwnNumbers& own, const Rates& r) const {
  const std::size_t n = spec_.elements, tail_at = n * deposit_states;
  for (std::size_t i = 0; i < n; ++i) position_rates(world, own, i, r);
  const auto array = own.aux.subspan(n * aux_per_position);
  r.dxdt[tail_at + exposure_s] = array[exposing];
  r.dxdt[tail_at + damage] = array[harm_1_s];
  r.dxdt[tail_at + chlorine_ppm_s] = array[dose_ppm];
  r.dxdt[tail_at + swelling] = (array[swelling_target] - tail(own.x, swelling)) * array[swelling_rate_1_s];
}

void ArrayUnit::holdings(const OwnNumbers& own, const Holdings& held) const {
  for (std::size_t i = 0; i < spec_.elements; ++i) {
    const auto d = own.x.subspan(i * deposit_states, deposit_states);
    for (std::size_t f = 0; f < foulant_count; ++f)
      held.add(first_solid + f, spec_.area_m2() * (d[f] + d[f + foulant_count]));
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
