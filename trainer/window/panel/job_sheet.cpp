// The job sheet: aim, what is at hand, cautions, steps with their ticks, hints that cost points, and "I am done". In free
// practice it says what free practice is and lets the trainee break things.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "trainer/window/panel/marks.h"
#include "trainer/window/panel/panels.h"
#include "trainer/window/view/words.h"

namespace wetrun::ui {
namespace {

std::string points_text(int points) { return points == 1 ? "1 point" : fmt::format("{} points", points); }

std::vector<std::string> paragraphs_of(const std::string& text) {
  std::vector<std::string> list(1);
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] != '\n') {
      list.back() += text[i];
    } else if (i + 1 < text.size() && text[i + 1] == '\n') {
      list.emplace_back();
    } else if (!list.back().empty()) {
      list.back() += ' ';
    }
  }
  std::erase_if(list, [](const std::string& one) { return one.find_first_not_of(' ') == std::string::npos; });
  return list;
}

class SheetPanel {
public:
  SheetPanel(Stage& stage, JobSheetState& state)
      : stage_(stage), kit_(stage.kit), state_(state), sheet_(stage.sheet), picture_(stage.picture) {}

  void draw(const Box& place) {
    const float foot = footer_height();
    const Box body{place.x0, place.y0, place.x1, place.y1 - foot};
    begin_panel(kit_, "sheet", place);
    ImGui::SetCursorScreenPos({place.x0, place.y0});
    // The scrolling part is a child, so that "I am done" stays in sight.
    ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, ImVec2(kit_.px(16), kit_.px(13)));
    ImGui::BeginChild("sheet/body", {body.width(), body.height()}, false, ImGuiWindowFlags_AlwaysUseWindowPadding);
    ImGui::PopStyleVar();
    if (picture_.mode == Mode::practice)
      draw_practice();
    else
      draw_exercise();
    gap(kit_, 10);
    soft_edges(kit_);
    ImGui::EndChild();
    if (foot > 0) draw_footer({place.x0, body.y1, place.x1, place.y1});
    end_panel(kit_);
  }

private:
  bool can_end() const { return picture_.mode == Mode::exercise && !picture_.finished; }
  float footer_height() const {
    if (!can_end()) return 0;
    return kit_.px(state_.asking_done && !picture_.handed_over ? 118 : 62);
  }

  void heading(const std::string& words) {
    gap(kit_, 16);
    text(kit_, Type::small, words, kit_.colour.ink_soft);
    gap(kit_, 5);
  }

  void draw_exercise() {
    paragraph(kit_, Type::title, sheet_.title, kit_.colour.ink, "sheet/title");
    gap(kit_, 6);
    paragraph(kit_, Type::body, sheet_.aim);
    if (!sheet_.steps.empty()) {
      heading("STEPS");
      for (std::size_t i = 0; i < sheet_.steps.size(); ++i) draw_step(i);
      if (picture_.hint_points > 0) {
        gap(kit_, 6);
        text(kit_, Type::small, points_text(picture_.hint_points) + " given for hints", kit_.colour.ink_soft,
             "sheet/hint_points");
      }
    }
    if (!sheet_.cautions.empty()) {
      heading("CAUTIONS");
      for (const std::string& caution : sheet_.cautions) draw_caution(caution);
    }
    if (!sheet_.brief.empty()) {
      heading("WHAT IS AT HAND");
      for (const std::string& one : paragraphs_of(sheet_.brief)) {
        paragraph(kit_, Type::body, one);
        gap(kit_, 8);
      }
    }
    if (sheet_.duration_s > 0)
      paragraph(kit_, Type::small,
                fmt::format("The run ends after {} at the latest; {} of 100 points pass.",
                            length_text(sheet_.duration_s), sheet_.pass_score),
                kit_.colour.ink_soft);
  }

  /// Triangle and words, without a box: a list of cautions is not a list of alarms.
  void draw_caution(const std::string& words) {
    const float sign = kit_.px(13), left = kit_.px(23);
    const ImVec2 at = ImGui::GetCursorScreenPos();
    ImDrawList& list = *ImGui::GetWindowDrawList();
    const Point middle{at.x + sign / 2, at.y + kit_.font(Type::body)->FontSize / 2};
    draw_triangle(list, middle, sign, kit_.colour.caution);
    list.AddRectFilled({middle.x - kit_.px(0.7F), middle.y - kit_.px(2.6F)},
                       {middle.x + kit_.px(0.7F), middle.y + kit_.px(1.6F)}, kit_.colour.ink);
    list.AddRectFilled({middle.x - kit_.px(0.7F), middle.y + kit_.px(2.6F)},
                       {middle.x + kit_.px(0.7F), middle.y + kit_.px(4)}, kit_.colour.ink);
    indented(left, [&] { paragraph(kit_, Type::body, words); });
    gap(kit_, 7);
  }

  template <class Body>
  void indented(float left, Body body) {
    ImGui::Indent(left);
    body();
    ImGui::Unindent(left);
  }

  void draw_step(std::size_t i) {
    const SheetStep& step = sheet_.steps[i];
    const StepTick tick = i < picture_.steps.size() ? picture_.steps[i] : StepTick{};
    const float sign = kit_.px(17), left = kit_.px(27);
    const ImVec2 at = ImGui::GetCursorScreenPos();
    ImDrawList& list = *ImGui::GetWindowDrawList();
    const Point middle{at.x + sign / 2, at.y + kit_.font(Type::body)->FontSize / 2};
    if (tick.done) {
      list.AddCircleFilled(vec(middle), sign / 2, kit_.colour.hand, 32);
      draw_tick(list, middle, sign * 0.62F, kit_.colour.sheet, kit_.px(1.8F));
    } else {
      list.AddCircle(vec(middle), sign / 2 - kit_.px(0.6F), kit_.colour.ink_faint, 32, kit_.px(1.2F));
      put_text(kit_, list, Type::small, {middle.x, middle.y - kit_.font(Type::small)->FontSize / 2},
               kit_.colour.ink_soft, fmt::format("{}", i + 1), Align::middle);
    }
    indented(left, [&] {
      paragraph(kit_, Type::body, step.text, tick.done ? kit_.colour.ink_soft : kit_.colour.ink);
      if (tick.done) text(kit_, Type::small, "done at " + clock_text(tick.done_s), kit_.colour.ink_soft);
      draw_hint(i, step, tick);
    });
    gap(kit_, 8);
  }

  void draw_hint(std::size_t i, const SheetStep& step, const StepTick& tick) {
    if (step.hint.empty()) return;
    if (tick.hint_taken) {
      const ImVec2 at = ImGui::GetCursorScreenPos();
      indented(kit_.px(10), [&] { paragraph(kit_, Type::body, step.hint, kit_.colour.hand); });
      const float bottom = ImGui::GetItemRectMax().y;
      ImGui::GetWindowDrawList()->AddRectFilled({at.x, at.y}, {at.x + kit_.px(2), bottom}, kit_.colour.hand);
      return;
    }
    const bool may = picture_.mode == Mode::exercise && !picture_.finished && !picture_.handed_over;
    if (tick.done || !may) return;
    if (state_.asking_hint == i) {
      paragraph(kit_, Type::small,
                step.hint_cost > 0 ? fmt::format("This hint costs {}. Read it?", points_text(step.hint_cost))
                                   : "This hint costs nothing. Read it?",
                kit_.colour.ink_soft);
      gap(kit_, 4);
      if (button(kit_, "sheet/hint_yes", "Read it", Weight::main)) {
        stage_.requests.push_back(request::TakeHint{i});
        state_.asking_hint.reset();
      }
      ImGui::SameLine();
      if (button(kit_, "sheet/hint_no", "No", Weight::quiet)) state_.asking_hint.reset();
      return;
    }
    if (link(fmt::format("sheet/hint_{}", i + 1),
             step.hint_cost > 0 ? fmt::format("Hint ({})", points_text(step.hint_cost)) : std::string("Hint")))
      state_.asking_hint = i;
  }

  /// Words to click, small.
  bool link(const std::string& name, const std::string& words) {
    const ImVec2 size = measure(kit_, Type::small, words);
    const ImVec2 at = ImGui::GetCursorScreenPos();
    ImGui::PushID(name.c_str());
    const bool pressed = ImGui::InvisibleButton("##link", {size.x, size.y + kit_.px(4)});
    ImGui::PopID();
    const bool hovered = ImGui::IsItemHovered();
    if (hovered) ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
    ImDrawList& list = *ImGui::GetWindowDrawList();
    put_text(kit_, list, Type::small, {at.x, at.y + kit_.px(2)}, kit_.colour.hand, words);
    const float y = std::floor(at.y + kit_.px(2) + size.y);
    list.AddRectFilled({at.x, y}, {at.x + size.x, y + std::max(1.0F, std::floor(kit_.px(0.8F)))},
                       fade(kit_.colour.hand, hovered ? 1.0F : 0.35F));
    log(name, {at.x, at.y, at.x + size.x, at.y + size.y + kit_.px(4)});
    return pressed;
  }

  void log(const std::string& name, const Box& box) {
    const ImVec2 low = ImGui::GetWindowDrawList()->GetClipRectMin(),
                 high = ImGui::GetWindowDrawList()->GetClipRectMax();
    const bool out = box.y0 < low.y - 1 || box.y1 > high.y + 1;
    kit_.boxes->add(BoxKind::button, name, box, {low.x, low.y, high.x, high.y}, out);
  }

  void draw_footer(const Box& place) {
    ImDrawList& list = *ImGui::GetWindowDrawList();
    const float side = kit_.px(16), thick = std::max(1.0F, std::floor(kit_.px(0.8F)));
    list.AddRectFilled({place.x0 + side, place.y0}, {place.x1 - side, place.y0 + thick}, kit_.colour.rule);
    ImGui::SetCursorScreenPos({place.x0 + side, place.y0 + kit_.px(13)});
    const float wide = place.width() - 2 * side;
    if (picture_.handed_over) {
      put_text(kit_, list, Type::body, {place.x0 + side, place.y0 + kit_.px(22)}, kit_.colour.ink_soft,
               shorten(kit_, Type::body, "Handed over. The debrief follows.", wide), Align::left, "sheet/handed_over");
      return;
    }
    if (!state_.asking_done) {
      if (button(kit_, "sheet/done", "I am done", Weight::normal, wide, stage_.live)) state_.asking_done = true;
      return;
    }
    const std::string ask = "Hand the skid over as it stands now? Nothing can be changed afterwards.";
    put_text(kit_, list, Type::body, {place.x0 + side, place.y0 + kit_.px(13)}, kit_.colour.ink, ask, Align::left,
             "sheet/ask_done", wide);
    ImGui::SetCursorScreenPos({place.x0 + side, place.y1 - kit_.px(46)});
    const float half = (wide - kit_.px(8)) / 2;
    if (button(kit_, "sheet/done_yes", "Hand over", Weight::main, half, stage_.live)) {
      stage_.requests.push_back(request::HandOver{});
      state_.asking_done = false;
    }
    ImGui::SetCursorScreenPos({place.x0 + side + half + kit_.px(8), place.y1 - kit_.px(46)});
    if (button(kit_, "sheet/done_no", "Not yet", Weight::normal, half)) state_.asking_done = false;
  }

  void draw_practice() {
    paragraph(kit_, Type::title, "Free practice", kit_.colour.ink, "sheet/title");
    gap(kit_, 6);
    paragraph(
        kit_, Type::body,
        "Work the skid as you like: nothing is scored and nothing ends. Time can stand still while you think. What "
        "you do is kept, and the run can be taken up again from the start screen.");
    if (!sheet_.title.empty() && sheet_.title != "Free practice") {
      gap(kit_, 8);
      paragraph(kit_, Type::body, sheet_.title, kit_.colour.ink_soft);
    }
    if (!sheet_.cautions.empty()) {
      heading("CAUTIONS");
      for (const std::string& caution : sheet_.cautions) draw_caution(caution);
    }
    heading("BREAK SOMETHING");
    paragraph(kit_, Type::body, "Set a fault and see how it shows itself. Here nothing is hidden but the cause.",
              kit_.colour.ink);
    gap(kit_, 6);
    if (button(kit_, "sheet/break", state_.breaking ? "Hide the list" : "Show what can be broken",
               state_.breaking ? Weight::quiet : Weight::normal))
      state_.breaking = !state_.breaking;
    if (state_.breaking) draw_faults();
  }

  void draw_faults() {
    std::string unit;
    for (std::size_t i = 0; i < stage_.signals.size(); ++i) {
      const SignalId id{static_cast<std::uint32_t>(i)};
      const SignalInfo& row = stage_.signals[id];
      if (row.kind != SignalKind::fault) continue;
      if (unit_of(row.name) != unit) {
        unit = unit_of(row.name);
        draw_unit(unit);
      }
      if (unit == state_.broken_unit) draw_fault(id, row);
    }
  }

  bool any_fault(const std::string& unit) const {
    for (std::size_t i = 0; i < stage_.signals.size(); ++i) {
      const SignalId id{static_cast<std::uint32_t>(i)};
      const SignalInfo& row = stage_.signals[id];
      if (row.kind == SignalKind::fault && unit_of(row.name) == unit && value(id) != row.start) return true;
    }
    return false;
  }
  double value(SignalId id) const { return id.index() < stage_.frame.value.size() ? stage_.frame[id] : 0; }

  /// A line for each unit; a click unfolds its faults.
  void draw_unit(const std::string& unit) {
    const bool open = unit == state_.broken_unit;
    const std::string words = thing_words(stage_.scene, unit), name = "sheet/break/" + unit;
    const float high = kit_.font(Type::body)->FontSize + kit_.px(9), wide = ImGui::GetContentRegionAvail().x;
    const ImVec2 at = ImGui::GetCursorScreenPos();
    ImGui::PushID(name.c_str());
    if (ImGui::InvisibleButton("##unit", {wide, high})) state_.broken_unit = open ? "" : unit;
    ImGui::PopID();
    ImDrawList& list = *ImGui::GetWindowDrawList();
    if (ImGui::IsItemHovered()) {
      ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
      list.AddRectFilled(at, {at.x + wide, at.y + high}, fade(kit_.colour.sheet_shade, 0.6F), kit_.px(3));
    }
    const float s = kit_.px(3.6F), x = at.x + kit_.px(8), y = at.y + high / 2;
    if (open)
      list.AddTriangleFilled({x - s, y - s * 0.7F}, {x + s, y - s * 0.7F}, {x, y + s}, kit_.colour.ink_soft);
    else
      list.AddTriangleFilled({x - s * 0.7F, y - s}, {x + s, y}, {x - s * 0.7F, y + s}, kit_.colour.ink_soft);
    put_text(kit_, list, open ? Type::strong : Type::body,
             {at.x + kit_.px(20), y - kit_.font(Type::body)->FontSize / 2}, kit_.colour.ink,
             shorten(kit_, Type::strong, words, wide - kit_.px(44)));
    if (any_fault(unit)) draw_diamond(list, {at.x + wide - kit_.px(10), y}, kit_.px(9), kit_.colour.alarm, true);
    log(name, {at.x, at.y, at.x + wide, at.y + high});
  }

  void draw_fault(SignalId id, const SignalInfo& row) {
    std::string doc = fault_words(row);
    doc.erase(0, std::min(doc.size(), doc.find(": ") + 2));
    const std::string name = "sheet/fault/" + row.name;
    const double now = value(id);
    indented(kit_.px(20), [&] {
      if (row.unit == "1" && row.min == 0 && row.max == 1 && row.doc.starts_with("1: ")) {
        bool on = now > 0.5;
        const std::string lines = wrapped(kit_, Type::body, doc, ImGui::GetContentRegionAvail().x - kit_.px(38));
        if (tick(kit_, name, lines, on)) stage_.requests.push_back(request::Desk{id, on ? 1.0 : 0.0});
        return;
      }
      paragraph(kit_, Type::body, doc);
      draw_slider(id, row, name, now);
    });
    gap(kit_, 4);
  }

  /// One of a few states that the row's own words list: "0 sound, 1 stuck wet, 2 stuck dry".
  static bool in_whole_steps(const SignalInfo& row) {
    return row.unit == "1" && row.max >= 2 &&
           (row.doc.find(", 1 ") != std::string::npos || row.doc.find("n-th") != std::string::npos);
  }

  void draw_slider(SignalId id, const SignalInfo& row, const std::string& name, double now) {
    const bool whole = in_whole_steps(row);
    const auto to_shown = [&](double si) {
      return static_cast<float>(whole ? si : in_unit_shown(stage_.preferences, si, row.unit));
    };
    const float low = to_shown(row.min), high = to_shown(row.max);
    float shown = to_shown(now);
    const std::string unit = whole ? "" : unit_shown(stage_.preferences, row.unit);
    const std::string format =
        (whole || high - low > 20 ? "%.0f " : "%.2f ") + (unit == "%" ? std::string("%%") : unit);
    if (!slider(kit_, name, "", shown, low, high, format.c_str())) return;
    const double share = static_cast<double>(shown - low) / static_cast<double>(high - low);
    const double wanted = std::clamp(row.min + share * (row.max - row.min), row.min, row.max);
    stage_.requests.push_back(request::Desk{id, whole ? std::round(wanted) : wanted});
  }

  Stage& stage_;
  Kit& kit_;
  JobSheetState& state_;
  const Sheet& sheet_;
  const Picture& picture_;
};

}  // namespace

void job_sheet(Stage& stage, const Box& place, JobSheetState& state) { SheetPanel(stage, state).draw(place); }

}  // namespace wetrun::ui
