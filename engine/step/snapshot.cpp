#include "engine/step/snapshot.h"

#include <charconv>
#include <cmath>

#include "engine/file/parse_json.h"
#include "engine/step/command_check.h"
#include "engine/step/json_numbers.h"

namespace wetrun {
namespace {

using nlohmann::json;
constexpr int format_version = 2;
constexpr double largest = 1e30;  // no number of a plant comes near it, and its square is still a number
constexpr std::uint64_t most_steps = 1'000'000'000;

/// Calls give(name, number) for every number of a state, by name, in a fixed order. State may be const or not.
template <class State, class Give>
void each_number(const Plant& plant, State& s, const Give& give) {
  const std::size_t n = plant.components();
  const auto& nodes = plant.network().nodes();
  const auto& links = plant.network().links();
  const auto rows = [&](const std::string& what, const Plant::Slot& slot, const std::vector<NumberInfo>& list,
                        auto& values, std::size_t first) {
    for (std::size_t i = 0; i < list.size(); ++i) give(what + slot.name + "." + list[i].name, values[first + i]);
  };
  // What the present state and both ends of a leg have in common.
  const auto picture = [&](const std::string& of, auto& x, auto& aux, auto& pressure_pa, auto& flow_m3_s) {
    for (std::size_t c = 0; c < plant.cells().size(); ++c)
      for (std::size_t j = 0; j < n; ++j)
        give(of + "cell " + plant.cells()[c].name + " " + std::to_string(j), x[c * n + j]);
    for (const Plant::Slot& slot : plant.units()) {
      rows(of + "state ", slot, slot.unit->info().states, x, slot.x);
      rows(of + "aux ", slot, slot.unit->info().aux, aux, slot.aux);
    }
    for (std::size_t i = 0; i < nodes.size(); ++i) give(of + "pressure " + nodes[i].name, pressure_pa[i]);
    for (std::size_t i = 0; i < links.size(); ++i) give(of + "flow " + links[i].name, flow_m3_s[i]);
  };
  picture("", s.x, s.aux, s.network.pressure_pa, s.network.flow_m3_s);
  if (s.leg_done < s.leg_steps) {
    picture("from ", s.leg_from.x, s.leg_from.aux, s.leg_from.pressure_pa, s.leg_from.flow_m3_s);
    for (std::size_t i = 0; i < s.leg_arc.size(); ++i) give("arc " + std::to_string(i), s.leg_arc[i]);
    picture("to ", s.leg_to.x, s.leg_to.aux, s.leg_to.pressure_pa, s.leg_to.flow_m3_s);
  }
  for (const Plant::Slot& slot : plant.units()) rows("memory ", slot, slot.unit->info().memory, s.memory, slot.memory);
  for (std::size_t i = 0; i < plant.signals().size(); ++i) {
    const SignalInfo& row = plant.signals().rows()[i];
    if (row.kind != SignalKind::reading) give("input " + row.name, s.input[i]);
    give("last " + row.name, s.last[i]);
  }
  for (std::size_t i = 0; i < links.size(); ++i) {
    give("density " + links[i].name, s.network.fluid[i].density_kg_m3);
    give("viscosity " + links[i].name, s.network.fluid[i].viscosity_pa_s);
    give("flow trend " + links[i].name, s.flow_trend_m3_s2[i]);
    give("content slope " + links[i].name, s.network.content_slope_1_s[i]);
    for (std::size_t k = 0; k < links[i].settings; ++k)
      give("setting " + links[i].name + " " + std::to_string(k), s.network.settings[links[i].first_setting + k]);
  }
  for (std::size_t i = 0; i < plant.invariants().size(); ++i) {
    const std::string& name = plant.invariants()[i].name;
    give("start " + name, s.invariant_start[i]);
    give("scale " + name, s.invariant_scale[i]);
    give("worst " + name, s.invariant_worst[i]);
  }
}

json tasks_json(const std::vector<Hands::Task>& tasks, const SignalTable& signals) {
  json list = json::array();
  for (const Hands::Task& t : tasks)
    list.push_back({{"target", signals[t.target].name},
                    {"from", t.from},
                    {"to", t.to},
                    {"done_s", t.done_s},
                    {"total_s", t.total_s},
                    {"by_desk", t.actor == Actor::desk},
                    {"asked", t.asked},
                    {"release", t.release}});
  return list;
}

InputError impossible(const std::string& wrong) { return InputError(wrong, "a snapshot that was saved whole"); }

/// A task as the hands make them: of a control or a fault, its times in order.
std::vector<Hands::Task> tasks_of(const json& list, const SignalTable& signals) {
  std::vector<Hands::Task> tasks;
  for (const json& j : list) {
    const Hands::Task task{signals.require(j.at("target").get<std::string>()),
                           j.at("from").get<double>(),
                           j.at("to").get<double>(),
                           j.at("done_s").get<double>(),
                           j.at("total_s").get<double>(),
                           j.at("by_desk").get<bool>() ? Actor::desk : Actor::hands,
                           j.at("asked").get<double>(),
                           j.at("release").get<bool>()};
    const SignalInfo& row = signals[task.target];
    require_possible({0, task.target, task.asked, task.actor, false, task.total_s}, signals);
    const double most = row.motion == Motion::pour ? largest : row.max;  // a pour goes on from what there was
    for (const double end : {task.from, task.to})
      if (!(end >= row.min && end <= most)) throw impossible("a task moves '" + row.name + "' where it cannot be");
    if (!(task.done_s >= 0 && task.done_s <= 2e7)) throw impossible("a task has been under way for too long");
    tasks.push_back(task);
  }
  return tasks;
}

/// Adds `"name": value` and a line's end. Names are of the plant: no quotes, no backslashes.
void add_number(std::string& text, const std::string& name, double value) {
  char digits[32];
  const char* const end = std::to_chars(digits, digits + sizeof digits, value).ptr;
  text += '"';
  text += name;
  text += "\": ";
  std::isfinite(value) ? text.append(digits, static_cast<std::size_t>(end - digits)) : text.append("null");
  if (value == 0 && std::signbit(value)) text += ".0";  // "-0" would be read as a whole number, which has no sign of 0
  text += '\n';
}

}  // namespace

std::string snapshot_text(const Simulation& simulation) {
  const Plant& plant = simulation.plant();
  const SimulationState state = simulation.save();
  json units = json::object();
  for (const Plant::Slot& slot : plant.units())
    units[slot.name] = {{"type", slot.unit->info().type}, {"version", slot.unit->info().version}};
  json pending = json::array();
  for (const Command& c : state.pending)
    pending.push_back({{"step", c.step},
                       {"set", plant.signals()[c.target].name},
                       {"value", c.value},
                       {"by_desk", c.actor == Actor::desk},
                       {"urgent", c.urgent},
                       {"over_s", c.over_s}});
  const json all = {{"wetrun_snapshot", format_version},
                    {"step", state.step},
                    {"digest", hex_text(state.digest)},
                    {"leg", {{"done", state.leg_done}, {"steps", state.leg_steps}, {"next", state.next_leg_steps}}},
                    {"units", units},
                    {"active", tasks_json(state.active, plant.signals())},
                    {"queue", tasks_json(state.queue, plant.signals())},
                    {"pending", pending}};
  // Thousands of numbers, written as they come: made into JSON values first they would cost ten times as much.
  std::string text = all.dump(1);
  text.resize(text.size() - 2);  // "\n}"
  text += ",\n \"numbers\": {";
  char separator = ' ';
  each_number(plant, state, [&](const std::string& name, double value) {
    add_number(text += separator, name, value);
    separator = ',';
  });
  return text += "}\n}\n";
}

void restore_snapshot(Simulation& simulation, const std::string& text, const std::string& name) {
  const Plant& plant = simulation.plant();
  const auto complain = [&](const std::string& wrong, const std::string& right) {
    return InputError({name, 0, 0}, wrong, right);
  };
  const std::string same_skid = "restore it with the skid and program version that saved it";
  SimulationState state = simulation.save();
  try {
    const json all = parse_json(text, name);
    if (int_value(all.at("wetrun_snapshot")) != format_version) throw complain("unknown snapshot version", same_skid);
    for (const Plant::Slot& slot : plant.units()) {
      const json& unit = all.at("units").at(slot.name);
      if (unit.at("type") != slot.unit->info().type || unit.at("version") != slot.unit->info().version)
        throw complain("unit '" + slot.name + "' was saved by another model", same_skid);
    }
    const json& leg = all.at("leg");
    state.leg_done = whole_value(leg.at("done"));
    state.leg_steps = whole_value(leg.at("steps"));
    state.next_leg_steps = whole_value(leg.at("next"));
    constexpr std::uint64_t most = 1000000;
    if (state.leg_done > state.leg_steps || state.leg_steps > most || state.next_leg_steps < 1 ||
        state.next_leg_steps > most)
      throw complain("the leg of the snapshot cannot be", same_skid);
    state.leg_arc = state.x;
    for (SimulationState::End* end : {&state.leg_from, &state.leg_to})
      *end = {state.x, state.aux, state.network.pressure_pa, state.network.flow_m3_s};
    const json& numbers = all.at("numbers");
    std::size_t wanted = 0;
    each_number(plant, state, [&](const std::string& number, double& value) {
      ++wanted;
      const auto found = numbers.find(number);
      if (found == numbers.end() || !found->is_number())
        throw complain("the snapshot lacks the number '" + number + "'", same_skid);
      value = found->get<double>();
      if (!(std::abs(value) <= largest)) throw impossible("the number '" + number + "' of the snapshot is too large");
    });
    if (wanted != numbers.size()) throw complain("the snapshot has numbers that this skid does not know", same_skid);
    state.step = whole_value(all.at("step"), most_steps);
    state.digest = hex_value(all.at("digest"));
    state.active = tasks_of(all.at("active"), plant.signals());
    state.queue = tasks_of(all.at("queue"), plant.signals());
    state.pending.clear();
    for (const json& c : all.at("pending")) {
      const Command command{whole_value(c.at("step")),   plant.signals().require(c.at("set").get<std::string>()),
                            c.at("value").get<double>(), c.at("by_desk").get<bool>() ? Actor::desk : Actor::hands,
                            c.at("urgent").get<bool>(),  c.at("over_s").get<double>()};
      require_possible(command, plant.signals());
      state.pending.push_back(command);
    }
  } catch (const InputError& error) {
    throw error.where().file.empty() ? error.at({name, 0, 0}) : error;
  } catch (const json::exception&) {
    throw complain("not a snapshot of this program", same_skid);
  }
  simulation.restore(state);
}

}  // namespace wetrun
