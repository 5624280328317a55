// How the array joins a plant and what can be read of it.
#include <algorithm>
#include <cmath>

#include "models/array/array_unit.h"
#include "models/array/permeation_law.h"
#include "models/mixing/rows.h"
#include "models/mixing/start_rows.h"
#include "models/water/water.h"

namespace wetrun {
namespace {

constexpr double hardly_a_feed_m3_s = 1e-5;  // shut seats leak less: a share of it would be a number without meaning

enum Reading : std::size_t {
  feed_pressure,
  concentrate_pressure,
  channel_dp,
  vessel_flow,
  feed_flow,
  concentrate_flow,
  permeate_flow,
  worst_element_dp,
  peak_feed_pressure,
  peak_element_dp,
  permeability_now,
  permeability_settled,
  permeability_clean,
  recovered_fraction,
  channel_dp_normalised,
  channel_dp_before,
  permeability_before,
  salt_passage_mean,
  ph_min,
  ph_max,
  outside_now,
  exposure,
  damage_index,
  chlorine_dose,
  swollen,
  telescoped,
  delaminated_now,
  temperature,
  temperature_max,
  scale_dissolved,
  deposit_total,
  recovery_ratio,
  feed_over_limit,
  first_deposit,
  first_fixed = first_deposit + foulant_count,
  first_dissolved = first_fixed + foulant_count,
  reading_count = first_dissolved + foulant_count
};

SignalInfo reading(std::string name, std::string unit, Visibility visibility, double min, double max, std::string doc) {
  SignalInfo row;
  row.name = std::move(name);
  row.unit = std::move(unit);
  row.visibility = visibility;
  row.min = min;
  row.max = max;
  row.doc = std::move(doc);
  return row;
}

}  // namespace

ArrayUnit::ArrayUnit(const ArraySpec& spec, const UnitRequest& request) : spec_(spec), name_(request.name) {
  whole_ = std::make_shared<ChannelLaw>(spec_.channel);
  make_plant_parts(request);
  declare(request.name);
  std::vector<double> x, memory(spec_.elements + tail_memory, 0.0);
  for (const NumberInfo& state : info_.states) x.push_back(state.start);
  const Fluid water{water_density_kg_m3(298.15), water_viscosity_pa_s(298.15)};
  const double reference_flow = spec_.reference_flow_m3_s * static_cast<double>(spec_.vessels);
  clean_drop_pa_ = whole_->eval(reference_flow, 0, water, std::array{1.0}).drop_pa;
  start_permeability_ = permeability(x).settled;
  start_drop_pa_ = normalised_drop_pa(x, memory);
}

void ArrayUnit::make_plant_parts(const UnitRequest& request) {
  const double vessels = static_cast<double>(spec_.vessels);
  permeate_cell_ = request.plant.add_cell(name_ + ".permeate_tube", CellKind::inner,
                                          request.start_liquid(spec_.permeate_volume_m3 * vessels));
  ChannelSpec half = spec_.channel;
  half.length_m *= 0.5;
  const auto end = std::make_shared<ChannelLaw>(half);
  const auto permeation = std::make_shared<PermeationLaw>();
  std::string before = spec_.feed;
  for (std::size_t i = 0; i < spec_.elements; ++i) {
    const std::string n = std::to_string(i + 1), node = name_ + ".position_" + n;
    cells_.push_back(
        request.plant.add_cell(node, CellKind::inner, request.start_liquid(spec_.channel_volume_m3 * vessels)));
    request.plant.add_junction(node, spec_.elevation_m, cells_.back());
    request.plant.add_link(name_ + ".channel_" + std::to_string(i), before, node, i == 0 ? end : whole_);
    filters_.push_back(request.plant.add_filter(
        request.plant.add_link(name_ + ".permeation_" + n, node, spec_.permeate, permeation, {permeate_cell_})));
    before = node;
  }
  request.plant.add_link(name_ + ".channel_" + std::to_string(spec_.elements), before, spec_.concentrate, end);
}

void ArrayUnit::declare(const std::string&) {
  info_.type = "array";
  info_.version = 2;
  info_.indicators = 3;
  for (std::size_t i = 0; i < spec_.elements; ++i) {
    const std::string n = std::to_string(i + 1);
    for (const bool fixed : {false, true}) {
      for (std::size_t f = 0; f < foulant_count; ++f) {
        const FoulantAmounts& start = fixed ? spec_.deposits[i].fixed : spec_.deposits[i].mobile;
        info_.states.push_back({std::string(foulant_info[f].name) + (fixed ? "_fixed_" : "_mobile_") + n, "kg/m2",
                                start[f], "deposit at this position"});
      }
    }
  }
  for (const FoulantInfo& foulant : foulant_info) {
    info_.states.push_back({std::string(foulant.name) + "_dissolved", "kg", 0, "dissolved since the start"});
  }
  info_.states.push_back({"exposure", "s", 0, "time outside the pH-temperature envelope"});
  info_.states.push_back({"damage", "1", 0, "index: relative rise of salt passage by pH and heat"});
  info_.states.push_back({"chlorine", "s", 0, "free chlorine dose, ppm s"});
  info_.states.push_back({"swelling", "1", 0, "relative reversible change of permeability by caustic or acid"});
  for (std::size_t i = 0; i < spec_.elements; ++i) {
    info_.memory.push_back({"telescoped_" + std::to_string(i + 1), "1", 0, "1 once the position has telescoped"});
  }
  info_.memory.push_back({"delaminated", "1", 0, "1 once permeate back-pressure has lifted the leaves"});
  info_.memory.push_back(quiet_memory("peak_feed", "Pa", 0, "highest feed pressure so far"));
  info_.memory.push_back(quiet_memory("peak_element_dp", "Pa", 0, "highest drop of one element so far"));
  info_.memory.push_back(quiet_memory("peak_temperature", "K", 273.15, "hottest so far"));
  info_.memory.push_back(quiet_memory("lowest_ph", "pH", 7, "lowest so far"));
  info_.memory.push_back(quiet_memory("highest_ph", "pH", 7, "highest so far"));
  const char* const words[] = {"carbon_dioxide", "ammonia_free", "hydrogen",     "hydroxide",     "chlorine",
                               "outside",        "narrow",       "salt_passage", "settling_share"};
  for (std::size_t i = 0; i < spec_.elements; ++i) {
    const std::string n = "_" + std::to_string(i + 1);
    for (const char* kind : {"dissolve_", "detach_", "pack_"}) {
      for (const FoulantInfo& foulant : foulant_info) {
        info_.aux.push_back({kind + std::string(foulant.name) + n, "1/s", 0, "removal coefficient"});
      }
    }
    add_start_rows(info_.aux, "ph" + n, "of the liquid in the channel");
    for (const char* word : words) info_.aux.push_back({word + n, "1", 0, "held over a step"});
  }
  for (std::size_t i = 0; i < spec_.elements; ++i) info_.aux[i * aux_per_position + narrow].start = 1;
  for (const char* word : {"exposing", "harm", "chlorine_dose", "swelling_target", "swelling_rate"})
    info_.aux.push_back({word, "1", 0, "of the whole array, held over a step"});
  WETRUN_REQUIRE(info_.aux.size() == spec_.elements * aux_per_position + tail_aux);
  WETRUN_REQUIRE(spec_.elements <= most_elements);
  declare_readings();
}

void ArrayUnit::declare_readings() {
  const auto desk = Visibility::desk, truth = Visibility::truth;
  auto& r = info_.readings;
  r.reserve(reading_count);
  r.push_back(reading("feed_pressure", "Pa", desk, -1e5, 1e6, "pressure at the feed of the vessels"));
  r.push_back(reading("concentrate_pressure", "Pa", desk, -1e5, 1e6, "pressure at the concentrate end"));
  r.push_back(reading("dp", "Pa", desk, 0, 1e6, "pressure drop along a vessel, feed to concentrate"));
  r.push_back(reading("vessel_flow", "m3/s", desk, 0, 0.01, "feed flow of one vessel"));
  r.push_back(reading("feed_flow", "m3/s", desk, -0.1, 0.1, "feed flow of all vessels"));
  r.push_back(reading("concentrate_flow", "m3/s", desk, -0.1, 0.1, "flow leaving at the concentrate end"));
  r.push_back(reading("permeate_flow", "m3/s", desk, -0.01, 0.1, "flow through the membranes"));
  r.push_back(reading("worst_element_dp", "Pa", truth, 0, 1e6, "largest drop along one element"));
  r.push_back(reading("peak_feed_pressure", "Pa", truth, 0, 1e6, "highest feed pressure so far"));
  r.push_back(reading("peak_element_dp", "Pa", truth, 0, 1e6, "highest drop of one element so far"));
  r.push_back(reading("permeability", "m/s/Pa", truth, 0, 1e-10, "as a test now would give it, at 25 degC"));
  r.push_back(reading("permeability_settled", "m/s/Pa", truth, 0, 1e-10,
                      "at 25 degC a day or two later, without swelling and membrane damage"));
  r.push_back(reading("permeability_clean", "m/s/Pa", truth, 0, 1e-10, "of the clean membrane at 25 degC"));
  r.push_back(reading("recovered_fraction", "1", truth, -1, 1,
                      "share of the lost permeability won back (settled); 1 if nothing was lost"));
  r.push_back(reading("channel_dp_normalised", "Pa", truth, 0, 1e6, "drop of a vessel at reference flow, 25 degC"));
  r.push_back(reading("channel_dp_before", "Pa", truth, 0, 1e6, "the same at the start of the run"));
  r.push_back(
      reading("permeability_before", "m/s/Pa", truth, 0, 1e-10, "settled permeability at the start of the run"));
  r.push_back(reading("salt_passage", "1", truth, 0, 1, "mean over the positions"));
  r.push_back(reading("ph_min", "pH", truth, 0, 14, "lowest pH in the channels so far"));
  r.push_back(reading("ph_max", "pH", truth, 0, 14, "highest pH in the channels so far"));
  r.push_back(
      reading("outside_envelope", "pH", truth, 0, 10, "how far the worst position is outside its pH limits now"));
  r.push_back(reading("exposure", "s", truth, 0, 1e6, "time outside the pH-temperature envelope"));
  r.push_back(reading("damage", "1", truth, 0, 10, "relative rise of salt passage by pH and heat"));
  r.push_back(reading("chlorine_dose", "s", truth, 0, 1e8, "free chlorine dose in ppm s (3600 ppm s = 1 ppm h)"));
  r.push_back(reading("swelling", "1", truth, -1, 1, "relative change of permeability that goes away by itself"));
  r.push_back(reading("telescoped", "1", truth, 0, 8, "positions that have telescoped"));
  r.push_back(reading("delaminated", "1", truth, 0, 1, "1 once permeate back-pressure has lifted the leaves"));
  r.push_back(reading("temperature", "K", truth, 273.15, 373.15, "warmest position"));
  r.push_back(reading("temperature_max", "K", truth, 273.15, 373.15, "warmest so far"));
  r.push_back(reading("scale_dissolved", "kg", truth, 0, 1000, "carbonate scale dissolved so far"));
  r.push_back(reading("deposit", "kg", truth, 0, 1000, "all deposits together"));
  r.push_back(
      reading("permeate_share", "1", truth, -1, 1, "permeate flow over feed flow, or over 36 L/h where it is less"));
  r.push_back(reading("feed_over_limit", "1", desk, 0, 1, "1 while the feed pressure is above the cleaning limit"));
  for (const FoulantInfo& f : foulant_info) {
    r.push_back(
        reading("deposit_" + std::string(f.name), "kg", truth, 0, 1000, std::string(f.title) + " on the membranes"));
  }
  for (const FoulantInfo& f : foulant_info) {
    r.push_back(
        reading("fixed_" + std::string(f.name), "kg", truth, 0, 1000, std::string(f.title) + " beyond removal"));
  }
  for (const FoulantInfo& f : foulant_info) {
    r.push_back(reading("dissolved_" + std::string(f.name), "kg", truth, 0, 1000, std::string(f.title) + " dissolved"));
  }
  WETRUN_REQUIRE(r.size() == reading_count);
}

void ArrayUnit::observe_deposits(const OwnNumbers& own, std::span<double> r) const {
  r[deposit_total] = 0;
  for (std::size_t f = 0; f < foulant_count; ++f) {
    double mobile = 0, fixed = 0;
    for (std::size_t i = 0; i < spec_.elements; ++i) {
      const double* at = own.x.data() + i * deposit_states + f;
      mobile += spec_.area_m2() * std::max(at[0], 0.0);
      fixed += spec_.area_m2() * at[foulant_count];
    }
    r[first_deposit + f] = mobile + fixed;
    r[first_fixed + f] = fixed;
    r[first_dissolved + f] = tail(own.x, dissolved + f);
    r[deposit_total] += mobile + fixed;
  }
  r[scale_dissolved] = tail(own.x, dissolved);
}

void ArrayUnit::observe(const World& world, const OwnNumbers& own, std::span<double> r) const {
  const std::size_t n = spec_.elements;
  r[feed_pressure] = world.pressure(nodes_.front());
  r[concentrate_pressure] = world.pressure(nodes_.back());
  r[worst_element_dp] = r[permeate_flow] = r[salt_passage_mean] = r[telescoped] = 0;
  r[outside_now] = 0;
  r[temperature] = 273.15;
  const Drops drop = drops(world, own);
  r[channel_dp] = drop.along_pa;
  for (std::size_t i = 0; i < n; ++i) {
    r[worst_element_dp] = std::max(r[worst_element_dp], drop.element_pa[i]);
    r[permeate_flow] += world.flow(permeation_[i]);
    r[salt_passage_mean] += own.aux[i * aux_per_position + passage] / static_cast<double>(n);
    r[telescoped] += own.memory[i] > 0 ? 1 : 0;
    r[temperature] = std::max(r[temperature], temperature_k(world.cell(cells_[i]).data()));
    r[outside_now] = std::max(r[outside_now], own.aux[i * aux_per_position + outside]);
  }
  r[feed_flow] = world.flow(channel_.front());
  r[vessel_flow] = r[feed_flow] / static_cast<double>(spec_.vessels);
  r[concentrate_flow] = world.flow(channel_.back());
  r[recovery_ratio] = std::clamp(r[permeate_flow] / std::max(r[feed_flow], hardly_a_feed_m3_s), -1.0, 1.0);
  r[feed_over_limit] = r[feed_pressure] > spec_.feed_limit_pa ? 1 : 0;
  r[peak_feed_pressure] = late(own.memory, peak_feed_pa);
  r[peak_element_dp] = late(own.memory, peak_element_dp_pa);
  const Permeability passed = permeability(own.x);
  r[permeability_now] = passed.now;
  r[permeability_settled] = passed.settled;
  r[permeability_clean] = spec_.permeability_m_s_pa;
  r[permeability_before] = start_permeability_;
  const double lost = spec_.permeability_m_s_pa - start_permeability_;
  r[recovered_fraction] =
      lost > 1e-9 * spec_.permeability_m_s_pa ? (r[permeability_settled] - start_permeability_) / lost : 1.0;
  r[channel_dp_normalised] = normalised_drop_pa(own.x, own.memory);
  r[channel_dp_before] = start_drop_pa_;
  r[ph_min] = late(own.memory, lowest_ph);
  r[ph_max] = late(own.memory, highest_ph);
  r[exposure] = tail(own.x, exposure_s);
  r[damage_index] = tail(own.x, damage);
  r[chlorine_dose] = tail(own.x, chlorine_ppm_s);
  r[swollen] = tail(own.x, swelling);
  r[delaminated_now] = late(own.memory, delaminated);
  r[temperature_max] = late(own.memory, peak_temperature_k);
  observe_deposits(own, r);
}

}  // namespace wetrun
