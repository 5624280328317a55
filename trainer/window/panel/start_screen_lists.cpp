// The lists of the start screen.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "trainer/window/panel/ids.h"
#include "trainer/window/panel/marks.h"
#include "trainer/window/panel/start_screen_parts.h"
#include "trainer/window/view/words.h"

namespace wetrun::ui {
namespace {

constexpr float number_width = 38;

const char* mode_words(Mode mode) {
  switch (mode) {
    case Mode::exercise:
      return "exercise";
    case Mode::practice:
      return "free practice";
    case Mode::demonstration:
      return "demonstration";
    case Mode::replay:
      return "recording";
  }
  return "";
}

}  // namespace

void StartList::draw(const Box& box) {
  ImGui::SetCursorScreenPos({box.x0, box.y0});
  ImGui::BeginChild("start/list", {box.width(), box.height()});
  switch (state_.tab) {
    case 0:
      exercises();
      break;
    case 1:
      skids();
      break;
    case 2:
      saved();
      break;
    default:
      recordings();
      break;
  }
  ImGui::EndChild();
}

void StartList::indented(float left) {
  indent_ = kit_.px(left);
  ImGui::Indent(indent_);
}
void StartList::outdented() { ImGui::Unindent(indent_); }

void StartList::nothing(const std::string& words) {
  gap(kit_, 8);
  paragraph(kit_, Type::body, words, kit_.colour.ink_soft, "start/nothing");
}

bool StartList::line(const std::string& name, const std::string& number, const std::string& title,
                     const std::string& right, bool open, bool broken) {
  const float wide = ImGui::GetContentRegionAvail().x - kit_.px(4);
  const ImVec2 at = ImGui::GetCursorScreenPos();
  const float head = kit_.font(Type::title)->FontSize, high = head + kit_.px(18);
  push_id(name);
  const bool pressed = ImGui::InvisibleButton("##line", {wide, high});
  ImGui::PopID();
  const bool hovered = ImGui::IsItemHovered();
  if (hovered) ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
  ImDrawList& list = *ImGui::GetWindowDrawList();
  const float y = at.y + (high - head) / 2, small = kit_.font(Type::small)->FontSize;
  const ImU32 ink = broken ? kit_.colour.ink_faint : open || !hovered ? kit_.colour.ink : kit_.colour.hand;
  float left = at.x;
  if (!number.empty()) {
    put_text(kit_, list, Type::title, {left, y}, open ? kit_.colour.hand : kit_.colour.ink_faint, number);
    left += kit_.px(number_width);
  }
  const float right_wide = measure(kit_, Type::small, right).x;
  put_text(kit_, list, Type::small, {at.x + wide, y + (head - small) * 0.62F}, kit_.colour.ink_soft, right,
           Align::right);
  const std::string cut = shorten(kit_, Type::title, title, at.x + wide - right_wide - kit_.px(20) - left);
  put_text(kit_, list, Type::title, {left, y}, ink, cut);
  // A dotted leader, as in a table of contents.
  const float from = left + measure(kit_, Type::title, cut).x + kit_.px(10), to = at.x + wide - right_wide - kit_.px(8);
  for (float x = from; x < to - kit_.px(2); x += kit_.px(6))
    list.AddCircleFilled({x, y + head * 0.72F}, std::max(0.6F, kit_.px(0.7F)), fade(kit_.colour.ink_faint, 0.8F), 8);
  const ImVec2 low = list.GetClipRectMin(), edge = list.GetClipRectMax();
  const Box box{at.x, at.y, at.x + wide, at.y + high};
  kit_.boxes->add(BoxKind::button, name, box, {low.x, low.y, edge.x, edge.y},
                  box.y0 < low.y - 1 || box.y1 > edge.y + 1);
  return pressed;
}

void StartList::exercises() {
  if (menu_.exercises.empty()) {
    nothing("There are no exercises in the scenarios folder.");
    return;
  }
  if (state_.chosen >= menu_.exercises.size()) state_.chosen = 0;
  for (std::size_t i = 0; i < menu_.exercises.size(); ++i) exercise(i);
}

void StartList::exercise(std::size_t index) {
  const StartMenu::Exercise& one = menu_.exercises[index];
  const bool open = state_.chosen == index, broken = !one.broken.empty();
  // "First water: prove the rig on permeate" reads as a title and what it is about.
  const std::string title = one.title.empty() ? one.name : one.title;
  const std::string right = broken ? "cannot be read" : "up to " + length_text(one.duration_s);
  if (line("start/exercise/" + one.name, fmt::format("{}", index + 1), title, right, open, broken))
    state_.chosen = index;
  if (!open) return;
  indented(number_width);
  if (broken) {
    warning(kit_, one.broken, false);
    gap(kit_, 14);
    outdented();
    return;
  }
  paragraph(kit_, Type::body, one.aim, kit_.colour.ink_soft);
  gap(kit_, 12);
  if (button(kit_, "start/begin", "Start", Weight::main, kit_.px(110)))
    requests_.push_back(request::Begin{Mode::exercise, one.name, ""});
  watchers(one);
  gap(kit_, 20);
  outdented();
}

/// Who can be watched: those who pass and those who fail, and for what.
void StartList::watchers(const StartMenu::Exercise& one) {
  if (one.demonstrations.empty()) return;
  gap(kit_, 14);
  text(kit_, Type::small, "OR WATCH SOMEBODY WHO", kit_.colour.ink_soft);
  gap(kit_, 4);
  for (const StartMenu::Demonstration& who : one.demonstrations) {
    const std::string name = "start/watch/" + who.sequence;
    const float all = ImGui::GetContentRegionAvail().x - kit_.px(4), left = kit_.px(24);
    const float verb = measure(kit_, Type::strong, "Watch").x, wide = all - verb - kit_.px(24);
    const std::string words =
        (who.passes ? "passes: " : "fails: ") + (who.because.empty() ? spaced(who.sequence) : who.because);
    const ImVec2 size = measure(kit_, Type::body, words, wide - left), at = ImGui::GetCursorScreenPos();
    const float high = size.y + kit_.px(8);
    push_id(name);
    const bool pressed = ImGui::InvisibleButton("##watch", {all, high});
    ImGui::PopID();
    const bool hovered = ImGui::IsItemHovered();
    if (hovered) ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
    ImDrawList& list = *ImGui::GetWindowDrawList();
    const Point sign{at.x + kit_.px(7), at.y + kit_.px(4) + kit_.font(Type::body)->FontSize / 2};
    if (who.passes)
      draw_tick(list, sign, kit_.px(12), kit_.colour.lamp_run, kit_.px(2));
    else
      draw_triangle(list, sign, kit_.px(12), kit_.colour.alarm);
    put_text(kit_, list, Type::body, {at.x + left, at.y + kit_.px(4)}, hovered ? kit_.colour.hand : kit_.colour.ink,
             words, Align::left, "", wide - left);
    put_text(kit_, list, Type::strong, {at.x + all, at.y + kit_.px(4)}, hovered ? kit_.colour.ink : kit_.colour.hand,
             "Watch", Align::right);
    const ImVec2 low = list.GetClipRectMin(), edge = list.GetClipRectMax();
    const Box box{at.x, at.y, at.x + all, at.y + high};
    kit_.boxes->add(BoxKind::button, name, box, {low.x, low.y, edge.x, edge.y},
                    box.y0 < low.y - 1 || box.y1 > edge.y + 1);
    if (pressed) requests_.push_back(request::Begin{Mode::demonstration, one.name, who.sequence});
  }
}

void StartList::skids() {
  paragraph(kit_, Type::body,
            "A skid, and nothing that is asked of you. Try things, break things, see how they show themselves.",
            kit_.colour.ink_soft, "start/practice_words");
  gap(kit_, 10);
  if (menu_.skids.empty()) nothing("There are no skids in the scenarios folder.");
  for (const StartMenu::Skid& skid : menu_.skids) {
    const bool broken = !skid.broken.empty();
    if (line("start/practice/" + skid.name, "", skid.title.empty() ? skid.name : skid.title,
             broken ? "cannot be read" : "begin", false, broken) &&
        !broken)
      requests_.push_back(request::Begin{Mode::practice, skid.name, ""});
    if (broken) warning(kit_, skid.broken, false);
  }
}

void StartList::saved() {
  if (menu_.saved.empty()) {
    nothing("Nothing is unfinished. A run that you leave, or that is interrupted, waits here.");
    return;
  }
  for (std::size_t i = 0; i < menu_.saved.size(); ++i) {
    const StartMenu::Saved& one = menu_.saved[i];
    const bool broken = !one.broken.empty();
    const std::string right =
        broken ? "cannot be read" : fmt::format("{} at {}, {}", mode_words(one.mode), clock_text(one.time_s), one.when);
    if (line(fmt::format("start/resume/{}", i), "", one.title, right, false, broken) && !broken)
      requests_.push_back(request::Resume{one.file});
    if (broken) warning(kit_, one.broken, false);
    if (!broken && state_.asking_discard != i) {
      if (button(kit_, fmt::format("start/go_on/{}", i), "Go on")) requests_.push_back(request::Resume{one.file});
      ImGui::SameLine();
    }
    forget(i);
    gap(kit_, 10);
  }
}

/// Asks before an unfinished run is thrown away.
void StartList::forget(std::size_t index) {
  if (state_.asking_discard != index) {
    if (button(kit_, fmt::format("start/discard/{}", index), "Forget it", Weight::quiet)) state_.asking_discard = index;
    return;
  }
  if (button(kit_, "start/discard_yes", "Forget this run for good", Weight::danger)) {
    requests_.push_back(request::Discard{menu_.saved[index].file});
    state_.asking_discard.reset();
  }
  ImGui::SameLine();
  if (button(kit_, "start/discard_no", "Keep it", Weight::quiet)) state_.asking_discard.reset();
}

void StartList::recordings() {
  if (menu_.recordings.empty()) {
    nothing("No recordings yet. Every run that ends is kept here, and can be seen again.");
    return;
  }
  for (std::size_t i = 0; i < menu_.recordings.size(); ++i) {
    const StartMenu::Recorded& one = menu_.recordings[i];
    if (line(fmt::format("start/recording/{}", i), "", one.title, "watch, " + one.when, false, false))
      requests_.push_back(request::Begin{Mode::replay, one.file, ""});
  }
}

}  // namespace wetrun::ui
