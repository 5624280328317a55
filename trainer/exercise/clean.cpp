#include "trainer/exercise/clean.h"

#include <fmt/format.h>

#include <algorithm>

#include "trainer/exercise/bundle.h"

namespace wetrun {
namespace {

/// "pump.energy" -> "energy"
std::string_view last_word(std::string_view name) {
  const std::size_t dot = name.rfind('.');
  return dot == std::string_view::npos ? name : name.substr(dot + 1);
}

}  // namespace

CleanRun::CleanRun(LoadedSequence loaded)
    : loaded_(std::move(loaded)),
      simulation_(loaded_.skid.skid.plant),
      operator_(loaded_.sequence),
      longest_s_(std::min(longest_clean_s, simulation_.plant().longest_run_s())) {
  find_signals();
  watch();
  observe();
  marks_.add(simulation_.step_index(), simulation_.digest());
}

void CleanRun::find_signals() {
  const Plant& plant = simulation_.plant();
  const SignalTable& signals = plant.signals();
  for (std::uint32_t i = 0; i < signals.size(); ++i) {
    const SignalInfo& row = signals.rows()[i];
    const std::string_view word = last_word(row.name);
    if (row.kind == SignalKind::control && row.motion == Motion::pour && row.unit == "kg") pours_.push_back({i});
    if (row.kind != SignalKind::reading) continue;
    if (row.unit == "J" && word.size() >= 6 && word.substr(word.size() - 6) == "energy") energies_.push_back({i});
    if (word == "changes") changes_.push_back({i});
    if (word == "true_temperature" && row.unit == "K") temperatures_.push_back({i});
    if (word == "true_ph") true_ph_.push_back({i});
  }
  if (!loaded_.skid.skid.arrays.empty()) true_ph_.clear();
  const Frame& frame = simulation_.picture();
  for (const std::string& name : loaded_.skid.skid.arrays) {
    const auto need = [&](const char* word) { return signals.require(name + "." + word); };
    ArraySignals array{name,
                       need("permeability_settled"),
                       need("recovered_fraction"),
                       need("channel_dp_normalised"),
                       need("peak_feed_pressure"),
                       need("ph_min"),
                       need("ph_max"),
                       need("temperature_max")};
    array.permeability_before = frame[array.permeability];
    array.channel_dp_before = frame[array.channel_dp];
    arrays_.push_back(array);
  }
  for (std::uint32_t c = 0; c < plant.cells().size(); ++c)
    if (plant.cells()[c].kind == CellKind::sink) sinks_.push_back({c});
  const auto refuse = [&](bool missing, const char* what, const char* right) {
    if (missing) throw InputError(fmt::format("skid '{}' has no {}", loaded_.skid.skid.name, what), right);
  };
  refuse(sinks_.empty(), "drain, so no waste can be counted", "a skid with a sewer");
  refuse(energies_.empty(), "reading of energy", "a skid with a pump");
  refuse(arrays_.empty() && true_ph_.empty(), "array and no electrode", "a skid with one of them");
}

void CleanRun::watch() {
  operator_.watch(simulation_);
  for (const auto* list : {&temperatures_, &true_ph_})
    for (const SignalId id : *list) simulation_.watch(id);
}

void CleanRun::observe() {
  const Frame& frame = simulation_.watched();
  for (const SignalId id : temperatures_) max_temperature_k_ = std::max(max_temperature_k_, frame[id]);
  for (const SignalId id : true_ph_) {
    ph_min_ = std::min(ph_min_, frame[id]);
    ph_max_ = std::max(ph_max_, frame[id]);
  }
}

void CleanRun::step() {
  if (done_) return;
  operator_.act(simulation_);
  simulation_.step();
  observe();
  done_ = operator_.finished() || simulation_.time_s() >= longest_s_;
  if (done_) operator_.end_of_run(simulation_.time_s());
  if (done_ || marks_.due(simulation_.step_index())) marks_.add(simulation_.step_index(), simulation_.digest());
}

double CleanRun::share_done() const {
  const double phases = static_cast<double>(operator_.sequence().phases.size());
  return std::min(1.0, static_cast<double>(operator_.state().phase) / phases);
}

std::string CleanRun::phase_name() const {
  const std::size_t phase = operator_.state().phase;
  return phase < operator_.sequence().phases.size() ? operator_.sequence().phases[phase].name : "";
}

CleanOutcome CleanRun::outcome() const {
  const Frame& frame = simulation_.picture();
  const SignalTable& signals = simulation_.plant().signals();
  CleanOutcome outcome;
  outcome.sequence = operator_.sequence().name;
  outcome.skid = loaded_.skid.skid.name;
  outcome.duration_s = simulation_.time_s();
  outcome.gave_up = operator_.gave_up();
  outcome.steps = operator_.state().phases;
  outcome.max_temperature_k = max_temperature_k_;
  outcome.ph_min = ph_min_;
  outcome.ph_max = ph_max_;
  for (const ArraySignals& array : arrays_) {
    outcome.arrays.push_back({array.name, array.permeability_before, frame[array.permeability], frame[array.recovered],
                              array.channel_dp_before, frame[array.channel_dp]});
    outcome.peak_feed_pressure_pa = std::max(outcome.peak_feed_pressure_pa, frame[array.peak_feed]);
    outcome.max_temperature_k = std::max(outcome.max_temperature_k, frame[array.temperature_max]);
    outcome.ph_min = std::min(outcome.ph_min, frame[array.ph_min]);
    outcome.ph_max = std::max(outcome.ph_max, frame[array.ph_max]);
  }
  for (const SignalId id : pours_) {
    std::string_view name = last_word(signals[id].name);
    if (name.substr(0, 4) == "add_") name.remove_prefix(4);
    const auto same = [&](const CleanOutcome::Chemical& chemical) { return chemical.name == name; };
    const auto found = std::find_if(outcome.chemicals.begin(), outcome.chemicals.end(), same);
    const double mass_kg = frame[id] - signals[id].start;
    if (found == outcome.chemicals.end())
      outcome.chemicals.push_back({std::string(name), mass_kg});
    else
      found->mass_kg += mass_kg;
  }
  const std::size_t components = simulation_.plant().components();
  for (const CellId id : sinks_) outcome.waste_m3 += simulation_.x()[id.index() * components];  // component 0 is volume
  for (const SignalId id : energies_) outcome.energy_j += frame[id];
  for (const SignalId id : changes_) outcome.cartridges_used += frame[id];
  outcome.balances = simulation_.balances();
  outcome.digest = simulation_.digest();
  return outcome;
}

Recording CleanRun::recording() const {
  Recording recording;
  recording.kind = "clean";
  recording.input = bundle_text({{"skid", loaded_.skid.skid.name, loaded_.skid.expanded},
                                 {"sequence", operator_.sequence().name, operator_.sequence().expanded}});
  recording.commands = simulation_.commands();
  for (const Command& command : recording.commands)
    recording.names.push_back(simulation_.plant().signals()[command.target].name);
  recording.marks = marks_.list();
  return recording;
}

}  // namespace wetrun
