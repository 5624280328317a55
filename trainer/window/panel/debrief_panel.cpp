// The debrief: verdict and score, then four leaves: the rules with their moments, what could not be seen, what to try next,
// and all that was done. Every time of the run is a link: the drawing and the chart beside this panel then show that instant.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "trainer/exercise/debrief_data.h"
#include "trainer/exercise/debrief_words.h"
#include "trainer/window/panel/debrief_parts.h"
#include "trainer/window/panel/marks.h"
#include "trainer/window/panel/panels.h"
#include "trainer/window/view/words.h"

namespace wetrun::ui {
namespace {

enum Leaf : std::size_t { rules_leaf, hidden_leaf, next_leaf, log_leaf };
constexpr std::size_t none_open = static_cast<std::size_t>(-1);  // all rules shut, by the person

std::string sentence(std::string words) {
  if (!words.empty() && words[0] >= 'a' && words[0] <= 'z') words[0] = static_cast<char>(words[0] - 'a' + 'A');
  return words;
}

class DebriefSheet {
public:
  DebriefSheet(Stage& stage, DebriefPanelState& state)
      : stage_(stage),
        kit_(stage.kit),
        state_(state),
        data_(*stage.debrief),
        units_{stage.preferences.pressure, stage.preferences.flow, stage.preferences.temperature},
        parts_(stage) {}

  void draw(const Box& place) {
    const float side = kit_.px(16);
    begin_panel(kit_, "debrief", place);
    const float foot = foot_height(place.width() - 2 * side);
    head();
    tabs();
    const float top = ImGui::GetCursorScreenPos().y;
    ImGui::SetCursorScreenPos({place.x0, top});
    ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, ImVec2(side, kit_.px(4)));
    ImGui::PushID(static_cast<int>(state_.tab));                        // each leaf keeps its own place
    ImGui::PushClipRect({place.x0, top}, {place.x1, place.y1}, false);  // the scroll bar stands at the very edge
    ImGui::BeginChild("debrief/leaf", {place.width(), std::max(kit_.px(40), place.y1 - foot - top)}, false,
                      ImGuiWindowFlags_AlwaysUseWindowPadding);
    ImGui::PopStyleVar();
    leaf();
    gap(kit_, 14);
    soft_edges(kit_);
    ImGui::EndChild();
    ImGui::PopClipRect();
    ImGui::PopID();
    footer({place.x0 + side, place.y1 - foot, place.x1 - side, place.y1});
    end_panel(kit_);
  }

private:
  // --- verdict and score ----------------------------------------------------------------------------------------------
  void head() {
    if (!data_.scored || !data_.finished) {
      parts_.words(Type::title, data_.scored ? "Still under way" : "Looking back", kit_.colour.ink, "debrief/verdict");
      gap(kit_, 4);
      parts_.words(Type::body, verdict_cause(data_), kit_.colour.ink_soft);
      gap(kit_, 12);
      return;
    }
    const float sign = kit_.px(40);
    const ImVec2 at = ImGui::GetCursorScreenPos();
    const ImVec2 word = measure(kit_, Type::display, verdict_words(data_));
    parts_.verdict_sign({at.x + sign / 2, at.y + std::max(sign, word.y) / 2}, sign, data_.passed);
    put_text(kit_, *ImGui::GetWindowDrawList(), Type::display,
             {at.x + sign + kit_.px(14), at.y + std::max(0.0F, (sign - word.y) / 2)},
             data_.passed ? kit_.colour.ink : kit_.colour.alarm, verdict_words(data_), Align::left, "debrief/verdict");
    ImGui::Dummy({sign, std::max(sign, word.y)});
    gap(kit_, 10);
    parts_.words(Type::body, verdict_cause(data_), kit_.colour.ink, "debrief/cause");
    gap(kit_, 10);
    parts_.score_bar(data_.score, data_.pass_score, data_.passed);
    gap(kit_, 5);
    parts_.words(Type::small, account(), kit_.colour.ink_soft, "debrief/score");
    gap(kit_, 10);
  }

  std::string account() const {
    double had = 0, possible = 0, hints = 0;
    for (const RuleResult& each : data_.rules) {
      had += each.points;
      possible += each.out_of;
    }
    for (const HintResult& each : data_.hints) hints += each.cost;
    std::string words = fmt::format("Score {} of 100, {} needed", points_words(data_.score), data_.pass_score);
    if (possible != 100)
      words += fmt::format("; {} of {} points for the rules", points_words(had), points_words(possible));
    if (hints > 0) words += fmt::format("; {} point{} less for hints", points_words(hints), hints == 1 ? "" : "s");
    return words + ".";
  }

  void tabs() {
    struct Tab {
      Leaf leaf;
      const char *name, *label;
    };
    static constexpr Tab all[] = {{rules_leaf, "debrief/tab_rules", "Rules"},
                                  {hidden_leaf, "debrief/tab_hidden", "Hidden"},
                                  {next_leaf, "debrief/tab_next", "Next"},
                                  {log_leaf, "debrief/tab_log", "Log"}};
    const bool judged = data_.scored;
    if (!judged && (state_.tab == rules_leaf || state_.tab == next_leaf)) state_.tab = hidden_leaf;
    bool first = true;
    for (const Tab& tab : all) {
      if (!judged && (tab.leaf == rules_leaf || tab.leaf == next_leaf)) continue;
      if (!first) ImGui::SameLine(0, kit_.px(4));
      first = false;
      if (parts_.tab(tab.name, tab.label, state_.tab == tab.leaf)) state_.tab = tab.leaf;
    }
    gap(kit_, 0);
    hairline(kit_);
  }

  void leaf() {
    if (state_.tab == hidden_leaf) return hidden();
    if (state_.tab == next_leaf) return next();
    if (state_.tab == log_leaf) return log();
    rules();
  }

  // --- rules ----------------------------------------------------------------------------------------------------------
  std::size_t open_rule(const std::vector<std::size_t>& broken) const {
    if (state_.rule) return *state_.rule;
    return broken.empty() ? none_open : broken.front();  // what failed it is read without a click
  }

  void rules() {
    const std::vector<std::size_t> broken = rules_to_mend(data_);
    const std::size_t open = open_rule(broken);
    came_about();
    if (!broken.empty()) parts_.heading("NOT MET");
    for (const std::size_t i : broken) rule(i, open == i);
    if (broken.size() < data_.rules.size()) parts_.heading("MET");
    for (std::size_t i = 0; i < data_.rules.size(); ++i)
      if (data_.rules[i].met) rule(i, open == i);
  }

  /// Of a run that a critical rule failed: what came before it, in order of time.
  void came_about() {
    std::vector<std::size_t> chain = rules_broken_before(data_);
    if (chain.empty()) return;
    for (const std::size_t i : rules_to_mend(data_))
      if (data_.rules[i].critical && !data_.rules[i].evidence.empty()) chain.push_back(i);
    parts_.heading("HOW IT CAME ABOUT");
    for (const std::size_t i : chain) {
      const RuleResult& each = data_.rules[i];
      const std::string words = rule_title(each) + ", not met: " + first_moment(units_, each);
      if (parts_.moment("debrief/chain/" + each.name, each.evidence.front().time_s, words)) state_.rule = i;
    }
  }

  void rule(std::size_t i, bool open) {
    const RuleResult& each = data_.rules[i];
    const std::string name = "debrief/rule/" + each.name;
    const std::string points = fmt::format("{} of {}", points_words(each.points), each.out_of);
    const char* tag = !each.critical ? "" : each.met ? "critical" : "critical: fails the exercise";
    if (parts_.rule_row(name, rule_title(each), points, tag, each.met, open)) state_.rule = open ? none_open : i;
    if (!open) return;
    const float left = kit_.px(25);
    ImGui::Indent(left);
    gap(kit_, 2);
    for (std::size_t n = 0; n < each.evidence.size(); ++n)
      parts_.moment(fmt::format("debrief/moment/{}/{}", each.name, n), each.evidence[n].time_s,
                    evidence_words(units_, each.evidence[n]));
    gap(kit_, 5);
    labelled("Why", each.why);
    if (!each.met) labelled("Instead", each.instead);
    ImGui::Unindent(left);
    gap(kit_, 10);
  }

  void labelled(const char* label, const std::string& words) {
    gap(kit_, 3);
    text(kit_, Type::small, label, kit_.colour.ink_soft);
    gap(kit_, 1);
    parts_.words(Type::body, with_printed_units(words));
    gap(kit_, 4);
  }

  // --- hidden ---------------------------------------------------------------------------------------------------------
  void hidden() {
    if (data_.faults.empty() && data_.hidden.empty()) {
      gap(kit_, 8);
      parts_.words(Type::body, "Nothing of note: no faults, and no hidden reading that moved.", kit_.colour.ink_soft);
    }
    if (!data_.faults.empty()) parts_.heading("FAULTS NOBODY TOLD YOU OF");
    for (std::size_t i = 0; i < data_.faults.size(); ++i) fault(i);
    if (!data_.hidden.empty()) parts_.heading("TRUE READINGS THE SKID DOES NOT SHOW");
    for (const HiddenResult& each : data_.hidden) reading(each);
  }

  void fault(std::size_t i) {
    const FaultResult& each = data_.faults[i];
    const std::string name = fmt::format("debrief/fault/{}", i);
    const std::string what = plain_words(each.signal);
    if (!each.came) {
      parts_.words(Type::body, sentence(what) + " was planned, but its moment never came.", kit_.colour.ink_soft);
    } else {
      parts_.moment(name, each.since_s, with_printed_units(each.note.empty() ? each.doc : each.note));
      ImGui::Indent(parts_.clock_width());
      parts_.words(Type::small, sentence(what) + ": " + wetrun::fault_words(units_, each, stage_.signals),
                   kit_.colour.ink_soft);
      ImGui::Unindent(parts_.clock_width());
    }
    gap(kit_, 6);
  }

  void reading(const HiddenResult& each) {
    const std::string name = "debrief/hidden/" + each.name;
    const auto value = [&](double v) { return hidden_words(units_, each, stage_.signals, v); };
    const float plot = kit_.px(112);
    ImGui::PushTextWrapPos(ImGui::GetContentRegionMax().x - plot - kit_.px(12));
    const ImVec2 at = ImGui::GetCursorScreenPos();
    text(kit_, Type::strong, sentence(plain_words(each.name)), kit_.colour.ink, name);
    text(kit_, Type::small, each.doc, kit_.colour.ink_soft);
    ImGui::PopTextWrapPos();
    const ImVec2 after = ImGui::GetCursorScreenPos();
    const float right = ImGui::GetWindowPos().x + ImGui::GetContentRegionMax().x;
    parts_.sparkline(name + "/plot", {right - plot, at.y + kit_.px(2), right, at.y + kit_.px(34)}, each);
    ImGui::SetCursorScreenPos({after.x, std::max(after.y, at.y + kit_.px(38))});
    parts_.words(Type::body, fmt::format("{} at the start, {} at the end", value(each.start), value(each.end)));
    if (each.max > each.min) {
      parts_.moment(name + "/lowest", each.min_s, "lowest: " + value(each.min));
      parts_.moment(name + "/highest", each.max_s, "highest: " + value(each.max));
    }
    gap(kit_, 13);
  }

  // --- next -----------------------------------------------------------------------------------------------------------
  void next() {
    const std::vector<std::size_t> broken = rules_to_mend(data_);
    parts_.heading("WHAT TO TRY NEXT");
    if (broken.empty())
      parts_.words(Type::body, data_.hints.empty() ? "Every rule was met without hints. Take on another exercise."
                                                   : "Every rule was met. Do it once more without hints.");
    for (std::size_t n = 0; n < broken.size(); ++n) advice(n + 1, broken[n]);
    if (!data_.hints.empty()) parts_.heading("HINTS USED");
    for (std::size_t i = 0; i < data_.hints.size(); ++i) {
      const HintResult& hint = data_.hints[i];
      parts_.moment(fmt::format("debrief/hint/{}", i), hint.time_s,
                    fmt::format("{} ({} point{})", hint.step, hint.cost, hint.cost == 1 ? "" : "s"));
      ImGui::Indent(parts_.clock_width());
      parts_.words(Type::small, hint.hint, kit_.colour.ink_soft);
      ImGui::Unindent(parts_.clock_width());
      gap(kit_, 6);
    }
    parts_.heading("ON A REAL SKID");
    for (const std::string& caution : data_.cautions) {
      parts_.words(Type::body, with_printed_units(caution));
      gap(kit_, 7);
    }
    parts_.words(Type::body,
                 "Safety data sheets, local codes and licensed practice come first; a simulator certifies nobody.");
  }

  void advice(std::size_t number, std::size_t i) {
    const RuleResult& each = data_.rules[i];
    const float left = kit_.px(25);
    const ImVec2 at = ImGui::GetCursorScreenPos();
    put_text(kit_, *ImGui::GetWindowDrawList(), Type::strong, {at.x, at.y}, kit_.colour.ink_soft,
             fmt::format("{}", number));
    ImGui::Indent(left);
    parts_.words(Type::body, with_printed_units(each.instead));
    gap(kit_, 2);
    const std::string words = fmt::format("{}{}, {} of {} points", each.critical ? "Critical: " : "", rule_title(each),
                                          points_words(each.points), each.out_of);
    if (parts_.link("debrief/next/" + each.name, words, each.critical)) {
      state_.tab = rules_leaf;
      state_.rule = i;
    }
    ImGui::Unindent(left);
    gap(kit_, 11);
  }

  // --- log ------------------------------------------------------------------------------------------------------------
  void log() {
    gap(kit_, 8);
    if (data_.time_line.empty() && data_.phases.empty())
      parts_.words(Type::body, "Nothing was done.", kit_.colour.ink_soft);
    std::size_t n = 0;
    const auto actions_before = [&](double time_s) {
      for (; n < data_.time_line.size() && data_.time_line[n].time_s < time_s; ++n) {
        const ActionRecord& action = data_.time_line[n];
        const std::string words = record_words(stage_.preferences, stage_.signals, stage_.scene, action.text);
        parts_.moment(fmt::format("debrief/log/{}", n), action.time_s,
                      action.who == "hands" ? words : action.who + ": " + words);
      }
    };
    for (std::size_t i = 0; i < data_.phases.size(); ++i) {
      const PhaseRecord& phase = data_.phases[i];
      actions_before(phase.start_s);
      parts_.moment(fmt::format("debrief/phase/{}", i), phase.start_s,
                    (phase.operation.empty() ? "" : phase.operation + ": ") + phase.name, Type::strong);
    }
    actions_before(1e300);
    gap(kit_, 10);
    parts_.words(Type::small, fmt::format("State at the end: digest {}. The recording proves it.", data_.digest),
                 kit_.colour.ink_soft);
  }

  // --- footer ---------------------------------------------------------------------------------------------------------
  std::string saved_words() const {
    if (state_.saved_to.empty()) return "";
    return state_.save_failed ? "Not saved: " + state_.saved_to : "Saved: " + state_.saved_to;
  }

  float foot_height(float wide) const {
    const std::string words = saved_words();
    const float buttons = kit_.px(58);
    return words.empty() ? buttons : buttons + measure(kit_, Type::small, words, wide).y + kit_.px(8);
  }

  void footer(const Box& place) {
    ImDrawList& list = *ImGui::GetWindowDrawList();
    const float thick = std::max(1.0F, std::floor(kit_.px(0.8F)));
    list.AddRectFilled({place.x0, place.y0}, {place.x1, place.y0 + thick}, kit_.colour.rule);
    float y = place.y0 + kit_.px(11);
    if (const std::string words = saved_words(); !words.empty()) {
      put_text(kit_, list, Type::small, {place.x0, y}, state_.save_failed ? kit_.colour.alarm : kit_.colour.ink_soft,
               words, Align::left, "debrief/saved", place.width());
      y += measure(kit_, Type::small, words, place.width()).y + kit_.px(8);
    }
    ImGui::SetCursorScreenPos({place.x0, y});
    if (button(kit_, "debrief/save", "Save report", Weight::main)) stage_.requests.push_back(request::SaveReport{""});
    ImGui::SameLine();
    if (button(kit_, "debrief/again", "Again")) stage_.requests.push_back(request::Again{});
    ImGui::SameLine();
    if (button(kit_, "debrief/leave", "Leave")) stage_.requests.push_back(request::Leave{});
  }

  Stage& stage_;
  Kit& kit_;
  DebriefPanelState& state_;
  const DebriefData& data_;
  ReadingUnits units_;
  DebriefParts parts_;
};

}  // namespace

void debrief_panel(Stage& stage, const Box& place, DebriefPanelState& state) {
  if (stage.debrief == nullptr) return;
  DebriefSheet(stage, state).draw(place);
}

}  // namespace wetrun::ui
