// The bar on top: what is run, the run clock, pause and pace, what the hands do, who works, saved, and the way out.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "trainer/window/panel/marks.h"
#include "trainer/window/panel/panels.h"
#include "trainer/window/view/words.h"

namespace wetrun::ui {
namespace {

constexpr std::array<double, 6> paces = {1, 2, 5, 10, 30, 60};

std::string pace_text(double pace) { return pace < 1 ? fmt::format("{:.2g}x", pace) : fmt::format("{:.0f}x", pace); }

/// Why time goes slower than asked; "" if it does not.
std::string reason(const Picture& picture) {
  const std::string real = pace_text(picture.pace);
  switch (picture.limit) {
    case PaceLimit::hands_at_work:
      return real + " while hands are at work";
    case PaceLimit::something_happened:
      return real + ": " + (picture.limit_text.empty() ? "something happened" : picture.limit_text);
    case PaceLimit::machine_too_slow:
      return real + ": this machine is no faster";
    case PaceLimit::none:
      break;
  }
  return "";
}

/// The bar is laid out from both ends; what is left between is for the hands.
class Bar {
public:
  Bar(Stage& stage, const Box& place, TimeBarState& state)
      : stage_(stage), kit_(stage.kit), place_(place), state_(state), picture_(stage.picture) {}

  void draw() {
    keys();
    begin_panel(kit_, "time", place_);
    list_ = ImGui::GetWindowDrawList();
    measure_all();
    left_ = place_.x0 + kit_.px(16);
    right_ = place_.x1 - kit_.px(12);
    draw_right();
    draw_left();
    draw_middle();
    list_->PushClipRect({place_.x0, place_.y0}, {place_.x1, place_.y1});
    list_->AddRectFilled({place_.x0, place_.y1 - std::max(1.0F, std::floor(kit_.px(1)))}, {place_.x1, place_.y1},
                         kit_.colour.rule);
    list_->PopClipRect();
    end_panel(kit_);
  }

private:
  bool replay() const { return picture_.mode == Mode::replay || picture_.finished; }
  bool demonstration() const { return picture_.mode == Mode::demonstration && !picture_.finished; }
  float middle() const { return (place_.y0 + place_.y1) / 2; }

  void pause() { stage_.requests.push_back(request::Pause{!picture_.paused}); }
  void pace(double value) { stage_.requests.push_back(request::Pace{value}); }

  void keys() {
    const ImGuiIO& io = ImGui::GetIO();
    if (io.WantTextInput) return;
    if (ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_Space), false) && !io.NavVisible) pause();
    for (const ImWchar letter : io.InputQueueCharacters) {
      if (letter >= '1' && letter <= '6') pace(paces[static_cast<std::size_t>(letter - '1')]);
      if (letter != '+' && letter != '-') continue;
      const auto at = std::lower_bound(paces.begin(), paces.end(), picture_.asked_pace) - paces.begin();
      pace(paces[static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(at + (letter == '+' ? 1 : -1), 0, 5))]);
    }
  }

  /// What can be left out goes first when the bar is narrow.
  void measure_all() {
    const float all = place_.width() / kit_.scale;
    show_guide_ = !replay() && all > 1060;
    show_length_ = all > 980;
    show_saved_ = !replay() && all > 900;
    title_least_ = kit_.px(all > 1200 ? 190 : all > 1000 ? 130 : 80);
  }

  bool put_button(const std::string& name, const std::string& label, Weight weight, float x, float width = 0) {
    const float high = measure(kit_, Type::strong, label).y + kit_.px(13);
    ImGui::SetCursorScreenPos({x, std::floor(middle() - high / 2)});
    return button(kit_, name, label, weight, width);
  }
  float button_width(const std::string& label, Weight weight) const {
    return measure(kit_, Type::strong, label).x + 2 * kit_.px(weight == Weight::quiet ? 8 : 14);
  }
  /// A button at the right end; the next goes to its left.
  bool from_right(const std::string& name, const std::string& label, Weight weight) {
    right_ -= button_width(label, weight);
    const bool pressed = put_button(name, label, weight, right_);
    right_ -= kit_.px(2);
    return pressed;
  }

  void draw_right() {
    if (from_right("time/leave", "Leave", Weight::quiet)) stage_.requests.push_back(request::Leave{});
    if (from_right("time/settings", "Settings", Weight::quiet)) state_.settings_open = !state_.settings_open;
    if (show_guide_ && from_right("time/walk", "Guide", Weight::quiet)) stage_.requests.push_back(request::Walk{true});
    if (show_saved_) draw_saved();
    if (!demonstration()) return;
    right_ -= kit_.px(8);
    if (picture_.operator_at_work) {
      if (from_right("time/take_over", "Take over", Weight::main)) stage_.requests.push_back(request::TakeOver{});
    } else {
      if (from_right("time/hand_back", "Hand back", Weight::normal)) stage_.requests.push_back(request::HandBack{});
    }
  }

  void draw_saved() {
    const bool trouble = !picture_.save_trouble.empty();
    const std::string words = trouble ? "not saved" : picture_.saved_s >= 0 ? "saved" : "";
    if (words.empty()) return;
    const ImVec2 size = measure(kit_, Type::small, words);
    right_ -= size.x + kit_.px(6);
    const ImU32 colour = trouble ? kit_.colour.alarm : kit_.colour.ink_soft;
    put_text(kit_, *list_, Type::small, {right_, middle() - size.y / 2}, colour, words, Align::left, "time/saved");
    const Point mark{right_ - kit_.px(9), middle()};
    if (trouble)
      draw_triangle(*list_, mark, kit_.px(10), colour);
    else
      draw_tick(*list_, mark, kit_.px(10), kit_.colour.lamp_run, kit_.px(1.6F));
    right_ -= kit_.px(20);
    const Box hot{mark.x - kit_.px(6), middle() - size.y / 2, mark.x + kit_.px(12) + size.x, middle() + size.y / 2};
    if (trouble && hot.holds(Point{ImGui::GetIO().MousePos.x, ImGui::GetIO().MousePos.y}))
      ImGui::SetTooltip("%s", picture_.save_trouble.c_str());
  }

  /// Room that the title may take: what clock, paces, the right end and the two small lines leave. None of it depends on
  /// what is said, so that nothing moves while one works.
  float title_room() const {
    float run = kit_.px(2 * 16 + 36 + 12 + 7 + 14 + 14 + 18);
    const bool long_run = stage_.sheet.duration_s >= 3600 || (picture_.frame && picture_.frame->time_s >= 3600);
    run += measure(kit_, Type::title, long_run ? "0:00:00" : "00:00").x;
    if (show_length_ && has_length()) run += measure(kit_, Type::small, length_words()).x;
    for (const double one : paces) run += measure(kit_, Type::strong, pace_text(one)).x + kit_.px(14);
    const bool saved_to_come = show_saved_ && picture_.save_trouble.empty() && picture_.saved_s < 0;
    const float saved = saved_to_come ? measure(kit_, Type::small, "saved").x + kit_.px(26) : 0;
    return right_ - saved - kit_.px(10) - left_ - run - kit_.px(230);
  }

  /// The whole title; else as much of it as ends at a colon; else cut.
  std::string fitting_title(const std::string& title) const {
    const float room = std::max(title_least_, title_room());
    std::string part = title;
    while (measure(kit_, Type::strong, part).x > room) {
      const std::size_t colon = part.rfind(": ");
      if (colon == std::string::npos) return shorten(kit_, Type::strong, part, room);
      part.erase(colon);
    }
    return part;
  }

  bool has_length() const { return stage_.sheet.duration_s > 0 && !stage_.sheet.exercise.empty(); }
  std::string length_words() const { return "of " + length_text(stage_.sheet.duration_s); }

  void draw_left() {
    const std::string title = stage_.sheet.title.empty() ? "Free practice" : stage_.sheet.title;
    const std::string cut = fitting_title(title);
    const ImVec2 size = measure(kit_, Type::strong, cut);
    put_text(kit_, *list_, Type::strong, {left_, middle() - size.y / 2}, kit_.colour.ink, cut, Align::left,
             "time/title");
    left_ += size.x + kit_.px(18);
    separator();
    draw_run();
    draw_clock();
    draw_paces();
    separator();
  }

  void separator() {
    const float x = std::floor(left_);
    list_->AddRectFilled({x, place_.y0 + kit_.px(13)},
                         {x + std::max(1.0F, std::floor(kit_.px(1))), place_.y1 - kit_.px(13)}, kit_.colour.rule);
    left_ += kit_.px(16);
  }

  void draw_run() {
    const float width = kit_.px(36), high = kit_.px(32);
    ImGui::SetCursorScreenPos({left_, std::floor(middle() - high / 2)});
    ImGui::PushID("time/pause");
    const bool pressed = ImGui::InvisibleButton("##pause", {width, high});
    ImGui::PopID();
    const bool hovered = ImGui::IsItemHovered(), held = ImGui::IsItemActive();
    if (hovered) {
      ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
      ImGui::SetTooltip(picture_.paused ? "Let time run (space bar)" : "Stop time (space bar)");
    }
    const Box box{left_, std::floor(middle() - high / 2), left_ + width, std::floor(middle() - high / 2) + high};
    ImU32 back = picture_.paused ? kit_.colour.hand : kit_.colour.sheet_shade;
    if (hovered || held) back = blend(back, kit_.colour.ink, held ? 0.2F : 0.1F);
    const ImU32 ink = picture_.paused ? kit_.colour.sheet : kit_.colour.ink;
    list_->AddRectFilled({box.x0, box.y0}, {box.x1, box.y1}, back, kit_.px(3));
    const Point m = box.middle();
    const float s = kit_.px(6.5F);
    if (picture_.paused) {
      list_->AddTriangleFilled({m.x - s * 0.75F, m.y - s}, {m.x + s * 1.05F, m.y}, {m.x - s * 0.75F, m.y + s}, ink);
    } else {
      const float bar = kit_.px(3.5F), apart = kit_.px(2.2F);
      list_->AddRectFilled({m.x - apart - bar, m.y - s}, {m.x - apart, m.y + s}, ink);
      list_->AddRectFilled({m.x + apart, m.y - s}, {m.x + apart + bar, m.y + s}, ink);
    }
    kit_.boxes->add(BoxKind::button, "time/pause", box, place_);
    if (pressed) pause();
    left_ += width + kit_.px(12);
  }

  void draw_clock() {
    const std::string now = clock_text(picture_.frame ? picture_.frame->time_s : 0);
    const ImVec2 size = measure(kit_, Type::title, now);
    const float room = std::max(size.x, measure(kit_, Type::title, "00:00").x);
    put_text(kit_, *list_, Type::title, {left_, middle() - size.y / 2}, kit_.colour.ink, now, Align::left,
             "time/clock");
    left_ += room + kit_.px(7);
    if (show_length_ && has_length()) {
      const std::string of = length_words();
      const ImVec2 small = measure(kit_, Type::small, of);
      put_text(kit_, *list_, Type::small, {left_, middle() - small.y / 2 + kit_.px(2)}, kit_.colour.ink_soft, of,
               Align::left, "time/length");
      left_ += small.x;
    }
    left_ += kit_.px(14);
  }

  void draw_paces() {
    const float high = kit_.px(26), top = std::floor(middle() - high / 2);
    const bool limited = picture_.limit != PaceLimit::none && !picture_.paused;
    for (const double one : paces) {
      const std::string words = pace_text(one), name = fmt::format("time/pace_{:.0f}", one);
      const float width = measure(kit_, Type::strong, words).x + kit_.px(13);
      ImGui::SetCursorScreenPos({left_, top});
      ImGui::PushID(name.c_str());
      const bool pressed = ImGui::InvisibleButton("##pace", {width, high});
      ImGui::PopID();
      const bool hovered = ImGui::IsItemHovered(), chosen = std::abs(one - picture_.asked_pace) < 0.01;
      if (hovered) ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
      const Box box{left_, top, left_ + width, top + high};
      const ImU32 mark = limited ? kit_.colour.caution : kit_.colour.hand;
      if (chosen)
        list_->AddRectFilled({box.x0, box.y0}, {box.x1, box.y1},
                             limited ? kit_.colour.caution_soft : kit_.colour.hand_soft, kit_.px(3));
      else if (hovered)
        list_->AddRectFilled({box.x0, box.y0}, {box.x1, box.y1}, kit_.colour.sheet_shade, kit_.px(3));
      if (chosen) list_->AddRectFilled({box.x0, box.y1 - kit_.px(2)}, {box.x1, box.y1}, mark);
      put_text(kit_, *list_, chosen ? Type::strong : Type::body,
               {box.middle().x, box.middle().y - kit_.font(Type::body)->FontSize / 2},
               chosen ? kit_.colour.ink : kit_.colour.ink_soft, words, Align::middle);
      kit_.boxes->add(BoxKind::button, name, box, place_);
      if (pressed) pace(one);
      left_ += width + kit_.px(1);
    }
    left_ += kit_.px(14);
  }

  /// Two small lines: what is done now; what comes then, or why time is slow.
  void draw_middle() {
    const float room = right_ - kit_.px(10) - left_;
    if (room < kit_.px(60)) return;
    std::string first, second;
    ImU32 first_ink = kit_.colour.ink, second_ink = kit_.colour.ink_soft;
    double share = -1;
    tell(first, first_ink, second, second_ink, share);
    const float line = kit_.font(Type::small)->FontSize, gap_px = kit_.px(second.empty() ? 0 : 3);
    float y = middle() - (second.empty() ? line : 2 * line + gap_px) / 2;
    const std::string cut = shorten(kit_, Type::small, first, room);
    put_text(kit_, *list_, Type::small, {left_, y}, first_ink, cut, Align::left, "time/hands");
    if (share >= 0) {
      const float bar_y = y + line + std::floor(kit_.px(0.5F)), thick = std::max(2.0F, kit_.px(2));
      const float wide = std::max(measure(kit_, Type::small, cut).x, std::min(room, kit_.px(90)));
      list_->AddRectFilled({left_, bar_y}, {left_ + wide, bar_y + thick}, kit_.colour.sheet_shade);
      list_->AddRectFilled({left_, bar_y}, {left_ + wide * static_cast<float>(share), bar_y + thick}, kit_.colour.hand);
    }
    y += line + gap_px;
    if (!second.empty())
      put_text(kit_, *list_, Type::small, {left_, y}, second_ink, shorten(kit_, Type::small, second, room), Align::left,
               "time/reason");
  }

  std::string task_line(const Hands::Task& task) const {
    return task_words(stage_.preferences, stage_.signals, stage_.scene, task.target, task.asked);
  }

  void tell(std::string& first, ImU32& first_ink, std::string& second, ImU32& second_ink, double& share) const {
    if (!picture_.trouble.empty()) {
      first = picture_.trouble;
      first_ink = kit_.colour.alarm;
      return;
    }
    if (replay()) {
      first = picture_.mode == Mode::replay ? "A recording: nothing can be changed" : "Looking back";
      second = "The run stands still where you click the chart";
      return;
    }
    if (!picture_.doing.empty()) {
      const Hands::Task& task = picture_.doing.front();
      first = "Hands: " + task_line(task);
      share = task.total_s > 0 ? std::clamp(task.done_s / task.total_s, 0.0, 1.0) : 0;
    } else {
      first = picture_.handed_over ? "Handed over: the plant is watched a little longer" : "Hands are free";
      first_ink = kit_.colour.ink_soft;
    }
    if (picture_.operator_at_work) {
      const std::string phase = picture_.phase.empty() ? std::string() : ": " + picture_.phase;
      second = "The operator works" + phase;
      if (picture_.doing.empty()) std::swap(first, second);
      if (picture_.doing.empty()) second = picture_.phase_note;
    }
    const std::string why = picture_.paused ? std::string() : reason(picture_);
    if (!why.empty()) {
      second = why;
      second_ink = picture_.limit == PaceLimit::something_happened ? kit_.colour.alarm : kit_.colour.ink_soft;
    } else if (second.empty() && !picture_.waiting.empty()) {
      second = "then " + task_line(picture_.waiting.front());
      if (picture_.waiting.size() > 1) second += fmt::format(", and {} more", picture_.waiting.size() - 1);
    } else if (second.empty() && picture_.paused) {
      second = "Time stands still";
    }
    if (!picture_.waiting.empty() && !why.empty()) second += fmt::format("; {} wait", picture_.waiting.size());
  }

  Stage& stage_;
  Kit& kit_;
  const Box place_;
  TimeBarState& state_;
  const Picture& picture_;
  ImDrawList* list_ = nullptr;
  float left_ = 0, right_ = 0, title_least_ = 0;
  bool show_guide_ = true, show_length_ = true, show_saved_ = true;
};

}  // namespace

void time_bar(Stage& stage, const Box& place, TimeBarState& state) { Bar(stage, place, state).draw(); }

}  // namespace wetrun::ui
