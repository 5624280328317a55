#include "trainer/window/view/walk.h"

#include <fmt/format.h>

#include <algorithm>
#include <deque>
#include <map>
#include <set>

#include "engine/core/error.h"
#include "engine/signal/condition.h"
#include "trainer/window/view/words.h"

namespace wetrun {
namespace {

bool seen(const SignalTable& signals, const std::string& name) {
  const SignalId id = signals.find(name);
  return id.valid() && signals[id].visibility == Visibility::skid;
}

std::string first_of(const Scene& scene, ItemKind kind) {
  for (const Item& item : scene.items)
    if (item.kind == kind) return item.unit;
  return "";
}

/// Which thing leads to which, along the pipes.
class PipeMap {
public:
  explicit PipeMap(const Scene& scene) : scene_(scene) {
    for (const Pipe& pipe : scene.pipes) {
      const std::string from = thing(pipe.from), to = thing(pipe.to), between = thing(unit_of(pipe.link));
      if (!between.empty() && scene.find(between) && between != from && between != to) {
        next_[from].push_back(between);
        next_[between].push_back(to);
      } else {
        next_[from].push_back(to);
      }
    }
  }

  /// Things on the shortest way with the flow, from and to left out. Does not run through other tanks or drains.
  std::vector<std::string> way(const std::string& from, const std::string& to) const {
    std::map<std::string, std::string> came_from;
    std::deque<std::string> open{from};
    while (!open.empty() && !came_from.count(to)) {
      const std::string here = open.front();
      open.pop_front();
      const auto found = next_.find(here);
      if (found == next_.end() || (here != from && ends_at(here))) continue;
      for (const std::string& there : found->second)
        if (there != from && came_from.emplace(there, here).second) open.push_back(there);
    }
    std::vector<std::string> list;
    for (auto at = came_from.find(to); at != came_from.end() && at->second != from; at = came_from.find(at->second))
      list.insert(list.begin(), at->second);
    return list;
  }

private:
  std::string thing(const std::string& name) const {
    const std::string unit = unit_of(name);
    return !scene_.find(name) && scene_.find(unit) ? unit : name;
  }
  bool ends_at(const std::string& name) const {
    const Item* item = scene_.find(name);
    return item && (item->kind == ItemKind::tank || item->kind == ItemKind::sewer || item->kind == ItemKind::pump);
  }
  const Scene& scene_;
  std::map<std::string, std::vector<std::string>> next_;
};

std::string valve_on(const Scene& scene, const SignalTable& signals, const std::vector<std::string>& way,
                     bool wheel_only) {
  for (const std::string& name : way) {
    const Item* item = scene.find(name);
    if (!item || !seen(signals, name + ".opening") || !seen(signals, name + ".position")) continue;
    if (item->kind == ItemKind::wheel_valve || (!wheel_only && item->kind == ItemKind::lever_valve)) return name;
  }
  return "";
}

/// Collects the steps.
class Maker {
public:
  Maker(const SignalTable& signals, const Scene& scene)
      : signals_(signals), scene_(scene), things_(find_things(signals, scene)) {}

  std::vector<WalkStep> make() {
    begin();
    fill();
    prime();
    start();
    look();
    chemicals();
    finish();
    return std::move(steps_);
  }

private:
  std::string label(const std::string& unit) const { return thing_words(scene_, unit); }
  bool has(const std::string& unit, const char* leaf) const {
    return !unit.empty() && seen(signals_, unit + "." + leaf);
  }
  /// The close-up's handle if the close-up is open, else the thing itself.
  static std::vector<std::string> handle(const std::string& unit, const char* leaf) {
    return {"closeup/" + unit + "." + leaf, "closeup/" + unit + "." + leaf + "/", "skid/" + unit};
  }

  void add(std::string name, std::string title, std::string text, std::vector<std::string> where, WalkStep::Until until,
           std::string unit = "", std::string condition = "") {
    steps_.push_back({std::move(name), std::move(title), std::move(text), std::move(where), std::move(unit), until,
                      std::move(condition)});
  }

  void begin() {
    add("begin", "A skid you work with your hands",
        "This is a cleaning skid: tank, pump, valves, filter, and the membranes it serves. You read what a person "
        "standing there can read, and nothing more. Two minutes, and you have had each thing in your hands once.",
        {}, WalkStep::Until::read);
    add("time/run", "Let time run",
        "Nothing moves yet: time stands still. Press Run in the bar above, or the space bar. You may stop time "
        "whenever "
        "you like, to think.",
        {"time/pause"}, WalkStep::Until::running);
    if (!things_.tank.empty())
      add("tank/look", "Walk up to the tank",
          "Click on it. What can be read and worked on a thing is seen from near: here the sight glass, the "
          "thermometer, "
          "and the drums of chemicals.",
          {"skid/" + things_.tank}, WalkStep::Until::looking, things_.tank);
  }

  void fill() {
    const std::string& valve = things_.fill_valve;
    if (valve.empty() || !has(things_.tank, "level")) return;
    const std::string name = label(valve), level = things_.tank + ".level";
    add("fill/look", "Go to the " + name, "Click on it to walk up to it.", {"skid/" + valve}, WalkStep::Until::looking,
        valve);
    add("fill/open", "Open it by dragging",
        "Take the handle and drag it round. The hands need their time for the stroke: what they are doing stands in "
        "the "
        "bar above.",
        handle(valve, "opening"), WalkStep::Until::condition, valve, valve + ".position > 60 %");
    add("fill/pace", "Make time go faster",
        "Filling takes minutes. Choose 10x, or press 4. When something needs your hands or your eyes, time slows down "
        "by "
        "itself and says why.",
        {"time/pace_10"}, WalkStep::Until::pace);
    add("fill/glass", "Watch the sight glass",
        "The level rises in the glass. The lamps only tell; nothing shuts the valve for you.",
        {"skid/" + things_.tank + "/glass", "skid/" + things_.tank}, WalkStep::Until::condition, things_.tank,
        level + " > 25 %");
    add("fill/shut", "Shut it another way",
        "With the mouse over the handle turn the wheel, or press Shut. There is always more than one way to work a "
        "valve.",
        handle(valve, "opening"), WalkStep::Until::condition, valve, valve + ".position < 2 %");
  }

  void prime() {
    const std::string& suction = things_.suction_valve;
    if (!suction.empty())
      add("suction/open", "Open the " + label(suction),
          "The pump must have liquid before it turns: open the valve between tank and pump fully.",
          handle(suction, "opening"), WalkStep::Until::condition, suction, suction + ".position > 95 %");
    const std::string& wheel = things_.wheel_valve;
    if (!wheel.empty())
      add("wheel/exact", "Type an exact value",
          "Walk up to the " + label(wheel) + ", type 100 and press Enter. A hand wheel takes longer than a lever.",
          {"closeup/" + wheel + ".opening/exact", "closeup/" + wheel + ".opening", "closeup/" + wheel + ".opening/",
           "skid/" + wheel},
          WalkStep::Until::condition, wheel, wheel + ".position > 95 %");
    const std::string& pump = things_.pump;
    if (has(pump, "vent") && has(pump, "venting_liquid")) {
      add("vent/open", "Vent the pump",
          "Walk up to the " + label(pump) +
              " and open its vent, until solid liquid runs from it. Air in the casing lifts "
              "nothing.",
          handle(pump, "vent"), WalkStep::Until::condition, pump, pump + ".venting_liquid");
      add("vent/shut", "Shut the vent", "Liquid runs: shut it again.", handle(pump, "vent"), WalkStep::Until::condition,
          pump, pump + ".vent < 50 %");
    }
  }

  void start() {
    const std::string &cabinet = things_.cabinet, &pump = things_.pump;
    if (has(cabinet, "breaker") && has(cabinet, "power_lamp")) {
      const bool door = has(cabinet, "disconnect");
      add("power/on", "Power on",
          std::string("At the ") + label(cabinet) + ": main breaker on" +
              (door ? ", then the disconnect on the door" : "") + ". The lamp shows that the panel is live.",
          handle(cabinet, door ? "disconnect" : "breaker"), WalkStep::Until::condition, cabinet,
          cabinet + ".power_lamp");
    }
    if (has(cabinet, "switch") && has(pump, "running"))
      add("pump/start", "Start the pump", "Turn the switch on, and keep your hand near it.", handle(cabinet, "switch"),
          WalkStep::Until::condition, cabinet, pump + ".running");
  }

  void look() {
    const std::string& gauge = things_.gauge;
    if (!gauge.empty())
      add("gauge/look", "Eyes on the gauge",
          "Walk up to the " + label(gauge) +
              ". A primed pump shows its pressure within seconds; if it does not, stop it.",
          {"skid/" + gauge}, WalkStep::Until::looking, gauge);
    add("chart/pen", "The chart writes what you can read",
        "Add a pen of your own: press Pens and choose a reading. Wheel zooms, drag goes back in time, a double click "
        "follows the newest again.",
        {"chart/choose", "chart/pens", "chart"}, WalkStep::Until::pen_added);
  }

  void chemicals() {
    const std::string& tank = things_.tank;
    if (has(tank, "protective_gear"))
      add("gear/on", "Protective gear",
          "Before any chemical: at the " + label(tank) + " put on goggles, face shield, gloves and apron.",
          handle(tank, "protective_gear"), WalkStep::Until::condition, tank, tank + ".protective_gear > 50 %");
    bool pours = false;
    for (const SignalInfo& row : signals_.rows())
      pours = pours || (row.motion == Motion::pour && row.kind == SignalKind::control && unit_of(row.name) == tank);
    if (pours)
      add("chemical/add", "Weigh a little chemical",
          "Choose a drum, type a small amount (0.5 kg), weigh and add it. Read the caution that stands beside it; on a "
          "real "
          "skid the safety data sheet and your site's rules decide. Skip this if you like.",
          {"closeup/" + tank + ".add", "closeup/" + tank + ".add_", "closeup/" + tank + "/", "skid/" + tank},
          WalkStep::Until::pouring, tank);
    if (!things_.sample.empty())
      add("sample/strip", "Take a grab sample",
          "At the " + label(things_.sample) +
              " take a sample and dip a pH strip. A strip is coarse, but it never drifts.",
          handle(things_.sample, "grab_sample"), WalkStep::Until::condition, things_.sample,
          things_.sample + ".strip > 0");
  }

  void finish() {
    const std::string &cabinet = things_.cabinet, &pump = things_.pump;
    if (has(cabinet, "emergency_stop") && has(pump, "running")) {
      add("stop/press", "Emergency stop",
          "When someone could be hurt, do not look for the switch: press the red button at the " + label(cabinet) + ".",
          handle(cabinet, "emergency_stop"), WalkStep::Until::condition, cabinet, cabinet + ".emergency_stop > 50 %");
      add("stop/release", "Make it safe again", "Switch the pump off first, then pull the red button out.",
          handle(cabinet, "emergency_stop"), WalkStep::Until::condition, cabinet,
          "not " + pump + ".running and " + cabinet + ".emergency_stop < 50 % and " + cabinet + ".switch < 50 %");
    }
    add("sheet", "The job sheet",
        "In an exercise the job stands here: aim, cautions, steps, and hints that cost points. When the work is "
        "finished, "
        "press \"I am done\" and read what the debrief has to say.",
        {"sheet"}, WalkStep::Until::read);
    steps_.back().may_skip = false;
  }

  const SignalTable& signals_;
  const Scene& scene_;
  WalkThings things_;
  std::vector<WalkStep> steps_;
};

}  // namespace

WalkThings find_things(const SignalTable& signals, const Scene& scene) {
  WalkThings things;
  const PipeMap pipes(scene);
  things.tank = first_of(scene, ItemKind::tank);
  things.pump = first_of(scene, ItemKind::pump);
  things.cabinet = first_of(scene, ItemKind::cabinet);
  things.gauge = first_of(scene, ItemKind::gauge);
  for (const ItemKind kind : {ItemKind::sample_point, ItemKind::electrode})
    for (const Item& item : scene.items)
      if (things.sample.empty() && item.kind == kind && seen(signals, item.unit + ".grab_sample") &&
          seen(signals, item.unit + ".strip"))
        things.sample = item.unit;
  if (things.tank.empty()) return things;
  for (const Item& item : scene.items)
    if (item.kind == ItemKind::supply && things.fill_valve.empty())
      things.fill_valve = valve_on(scene, signals, pipes.way(item.unit, things.tank), false);
  if (things.pump.empty()) return things;
  things.suction_valve = valve_on(scene, signals, pipes.way(things.tank, things.pump), false);
  things.wheel_valve = valve_on(scene, signals, pipes.way(things.pump, things.tank), true);
  for (const Item& item : scene.items)
    if (things.wheel_valve.empty() && item.kind == ItemKind::wheel_valve && seen(signals, item.unit + ".opening") &&
        seen(signals, item.unit + ".position"))
      things.wheel_valve = item.unit;
  return things;
}

std::vector<WalkStep> make_walk(const SignalTable& signals, const Scene& scene) { return Maker(signals, scene).make(); }

bool walk_step_done(const WalkStep& step, const SignalTable& signals, const WalkFacts& facts, WalkMemory& memory) {
  memory.poured = memory.poured || facts.pouring;
  switch (step.until) {
    case WalkStep::Until::read:
      return false;
    case WalkStep::Until::running:
      return !facts.paused;
    case WalkStep::Until::looking:
      return facts.looking_at == step.unit;
    case WalkStep::Until::nothing_open:
      return facts.looking_at.empty();
    case WalkStep::Until::pace:
      return facts.asked_pace >= 10;
    case WalkStep::Until::pen_added:
      return facts.pens > memory.pens;
    case WalkStep::Until::pouring:
      return memory.poured;
    case WalkStep::Until::condition:
      break;
  }
  if (facts.frame == nullptr || facts.frame->value.size() < signals.size()) return false;
  const Condition condition = Condition::parse(step.condition, signals, Visibility::skid);
  std::vector<double> none = condition.fresh_memory();
  return condition.evaluate(*facts.frame, 0, none);
}

}  // namespace wetrun
