// The start screen: exercises in the order they are to be taken, free practice, what can be continued, recordings.
//
// On the left the name over a drawn ornament: a pump's curve, the curve of the lines it works into, and the point where
// they meet. On the right a list like a table of contents, and what belongs to the line that is chosen.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "trainer/window/panel/marks.h"
#include "trainer/window/panel/start_screen_parts.h"
#include "trainer/window/view/words.h"

namespace wetrun::ui {
namespace {

constexpr const char* cautions =
    "A simulator certifies nobody. Safety data sheets, the maker's limits, local codes and licensed practice come "
    "first.";

/// A pump's curve, three curves of the lines it may work into, and the points where they meet; as on squared paper.
void draw_ornament(Kit& kit, ImDrawList& list, const Box& box) {
  const Palette& c = kit.colour;
  const float hair = std::max(1.0F, std::floor(kit.px(0.8F)));
  const auto at = [&](float x, float y) { return ImVec2{box.x0 + x * box.width(), box.y1 - y * box.height()}; };
  for (int i = 0; i <= 10; ++i) {
    const float x = std::floor(at(static_cast<float>(i) / 10, 0).x),
                y = std::floor(at(0, static_cast<float>(i) / 10).y);
    const ImU32 ink = fade(c.rule, i == 0 ? 1.0F : 0.55F);
    list.AddRectFilled({x, box.y0}, {x + hair, box.y1}, ink);
    list.AddRectFilled({box.x0, y}, {box.x1, y + hair}, ink);
  }
  const auto caption = [&](ImVec2 where, const char* words, Align align, ImU32 ink) {
    put_text(kit, list, Type::small, {where.x, where.y}, ink, words, align);
  };
  const float line = kit.font(Type::small)->FontSize;
  caption({box.x0 + kit.px(6), box.y0 + kit.px(4)}, "head", Align::left, c.ink_soft);
  caption({box.x1 - kit.px(6), box.y1 - line - kit.px(4)}, "flow", Align::right, c.ink_soft);
  constexpr int pieces = 72;
  const auto curve = [&](auto height, float to, ImU32 ink, float thick) {
    std::vector<ImVec2> points;
    for (int i = 0; i <= pieces; ++i) {
      const float x = to * static_cast<float>(i) / pieces;
      points.push_back(at(x, height(x)));
    }
    list.AddPolyline(points.data(), static_cast<int>(points.size()), ink, 0, thick);
  };
  const auto pump = [](float x) { return 0.86F - 0.08F * x - 0.52F * x * x; };
  curve(pump, 1.0F, c.ink, kit.px(2.2F));
  const ImVec2 on_pump = at(0.03F, pump(0.03F)), throttled = at(0.575F, 0.93F), open = at(0.985F, 0.52F);
  caption({on_pump.x, on_pump.y - line - kit.px(4)}, "pump", Align::left, c.ink);
  caption({throttled.x - kit.px(8), throttled.y - line / 2}, "throttled", Align::right, c.hand);
  caption({open.x, open.y - line / 2}, "wide open", Align::right, c.hand);
  const std::array<float, 3> lines = {2.6F, 0.95F, 0.42F};
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const float k = lines[i];
    const float to = std::min(1.0F, std::sqrt(0.92F / k));
    const ImU32 ink = i == 1 ? c.hand : fade(c.hand, 0.4F);
    curve([&](float x) { return 0.06F + k * x * x; }, to * 0.985F, ink, kit.px(i == 1 ? 2.0F : 1.3F));
    const float meet = (-0.08F + std::sqrt(0.0064F + 4 * (k + 0.52F) * 0.8F)) / (2 * (k + 0.52F));
    const ImVec2 p = at(meet, pump(meet));
    list.AddCircleFilled(p, kit.px(i == 1 ? 6 : 3.6F), c.paper, 32);
    if (i == 1) {
      list.AddCircleFilled(p, kit.px(4.4F), c.alarm, 32);
      list.AddCircle(p, kit.px(10), fade(c.alarm, 0.55F), 40, kit.px(1.2F));
    } else {
      list.AddCircle(p, kit.px(3.2F), c.hand, 24, kit.px(1.3F));
    }
  }
}

class Start {
public:
  Start(Kit& kit, const Box& place, const StartMenu& menu, const Preferences& preferences, StartScreenState& state,
        Requests& requests)
      : kit_(kit), place_(place), menu_(menu), preferences_(preferences), state_(state), requests_(requests) {}

  void draw() {
    ImGui::PushStyleColor(ImGuiCol_WindowBg, ImGui::ColorConvertU32ToFloat4(kit_.colour.paper));
    begin_panel(kit_, "start", place_);
    ImGui::PopStyleColor();
    list_ = ImGui::GetWindowDrawList();
    const float margin = kit_.px(56);
    const float cover = std::floor(std::clamp(place_.width() * 0.33F, kit_.px(300), kit_.px(420)));
    cover_ = {place_.x0 + margin, place_.y0 + margin, place_.x0 + margin + cover, place_.y1 - margin};
    content_ = {cover_.x1 + kit_.px(72), place_.y0 + margin, place_.x1 - margin, place_.y1 - kit_.px(84)};
    draw_cover();
    draw_tabs();
    draw_tab();
    draw_foot();
    end_panel(kit_);
  }

private:
  float hair() const { return std::max(1.0F, std::floor(kit_.px(0.8F))); }

  void draw_cover() {
    put_text(kit_, *list_, Type::display, {cover_.x0, cover_.y0 - kit_.px(4)}, kit_.colour.ink, "Wetrun", Align::left,
             "start/name");
    const float y = cover_.y0 + kit_.px(40);
    const std::string sentence =
        "A cleaning skid to work with your own hands, before it is acid, pressure and three-phase power.";
    const ImVec2 size = measure(kit_, Type::body, sentence, cover_.width());
    put_text(kit_, *list_, Type::body, {cover_.x0, y}, kit_.colour.ink_soft, sentence, Align::left, "start/sentence",
             cover_.width());
    const float walk_height = kit_.px(preferences_.walked ? 44 : 128);
    const float top = y + size.y + kit_.px(28), bottom = cover_.y1 - walk_height - kit_.px(28);
    const float wanted = std::min(bottom - top, cover_.width() * 0.86F);
    if (wanted > kit_.px(120)) draw_ornament(kit_, *list_, {cover_.x0, top, cover_.x1, top + wanted});
    draw_walk({cover_.x0, cover_.y1 - walk_height, cover_.x1, cover_.y1});
  }

  void draw_walk(const Box& box) {
    if (preferences_.walked) {
      ImGui::SetCursorScreenPos({box.x0 - kit_.px(8), box.y1 - kit_.px(32)});
      if (button(kit_, "start/walk", "Guided walk of the skid", Weight::quiet))
        requests_.push_back(request::Walk{true});
      return;
    }
    put_text(kit_, *list_, Type::strong, {box.x0, box.y0}, kit_.colour.ink, "New here?", Align::left, "start/new");
    put_text(kit_, *list_, Type::body, {box.x0, box.y0 + kit_.px(22)}, kit_.colour.ink_soft,
             "Two minutes, and you have had a valve, a pump and a gauge in your hands once.", Align::left,
             "start/walk_words", box.width());
    ImGui::SetCursorScreenPos({box.x0, box.y1 - kit_.px(40)});
    if (button(kit_, "start/walk", "Begin the guided walk", Weight::main)) requests_.push_back(request::Walk{true});
  }

  void draw_tabs() {
    const std::array<std::string, 4> words = {"Exercises", "Free practice", "Continue", "Recordings"};
    const std::array<std::size_t, 4> counts = {0, 0, menu_.saved.size(), menu_.recordings.size()};
    float x = content_.x0;
    for (std::size_t i = 0; i < words.size(); ++i) {
      const bool on = state_.tab == i;
      const ImVec2 size = measure(kit_, Type::strong, words[i]);
      const std::string count = counts[i] > 0 ? fmt::format("{}", counts[i]) : "";
      const float count_wide = count.empty() ? 0 : measure(kit_, Type::small, count).x + kit_.px(6);
      const Box box{x, content_.y0 - kit_.px(8), x + size.x + count_wide, content_.y0 + size.y + kit_.px(8)};
      const std::array<const char*, 4> names = {"exercises", "practice", "continue", "recordings"};
      const std::string name = fmt::format("start/tab/{}", names[i]);
      if (hit(name, box) && state_.tab != i) {
        state_.tab = i;
        state_.chosen = 0;
        state_.complaint.clear();
      }
      const bool hovered = ImGui::IsItemHovered();
      put_text(kit_, *list_, Type::strong, {x, content_.y0}, on || hovered ? kit_.colour.ink : kit_.colour.ink_soft,
               words[i]);
      if (!count.empty())
        put_text(kit_, *list_, Type::small, {x + size.x + kit_.px(6), content_.y0 + kit_.px(2)}, kit_.colour.ink_soft,
                 count);
      if (on) list_->AddRectFilled({x, box.y1 - kit_.px(2)}, {x + size.x, box.y1 + hair()}, kit_.colour.hand);
      x = box.x1 + kit_.px(28);
    }
    const float y = std::floor(content_.y0 + measure(kit_, Type::strong, "A").y + kit_.px(8));
    list_->AddRectFilled({content_.x0, y}, {content_.x1, y + hair()}, kit_.colour.rule);
  }

  /// An invisible button, logged.
  bool hit(const std::string& name, const Box& box) {
    ImGui::SetCursorScreenPos({box.x0, box.y0});
    ImGui::PushID(name.c_str());
    const bool pressed = ImGui::InvisibleButton("##hit", {std::max(1.0F, box.width()), std::max(1.0F, box.height())});
    ImGui::PopID();
    if (ImGui::IsItemHovered()) ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
    const ImVec2 low = ImGui::GetWindowDrawList()->GetClipRectMin(),
                 high = ImGui::GetWindowDrawList()->GetClipRectMax();
    kit_.boxes->add(BoxKind::button, name, box, {low.x, low.y, high.x, high.y},
                    box.y0 < low.y - 1 || box.y1 > high.y + 1);
    return pressed;
  }

  void draw_tab() {
    float top = content_.y0 + kit_.px(48);
    if (!state_.complaint.empty()) {
      ImGui::SetCursorScreenPos({content_.x0, top});
      ImGui::BeginChild("start/complaint", {content_.width(), kit_.px(64)});
      warning(kit_, state_.complaint, false);
      top += ImGui::GetItemRectSize().y + kit_.px(14);
      ImGui::EndChild();
    }
    const Box box{content_.x0, top, content_.x1, content_.y1};
    StartList{kit_, menu_, state_, requests_}.draw(box);
  }

  void draw_foot() {
    const float y = place_.y1 - kit_.px(56);
    list_->AddRectFilled({content_.x0, std::floor(y - kit_.px(14))},
                         {content_.x1, std::floor(y - kit_.px(14)) + hair()}, kit_.colour.rule);
    const float quit = measure(kit_, Type::strong, "Quit").x + kit_.px(16),
                preferences = measure(kit_, Type::strong, "Settings").x + kit_.px(16);
    ImGui::SetCursorScreenPos({content_.x1 - quit + kit_.px(8), y - kit_.px(8)});
    if (button(kit_, "start/quit", "Quit", Weight::quiet)) requests_.push_back(request::Quit{});
    ImGui::SetCursorScreenPos({content_.x1 - quit - preferences, y - kit_.px(8)});
    if (button(kit_, "start/settings", "Settings", Weight::quiet)) state_.settings_open = true;
    const float room = content_.width() - quit - preferences - kit_.px(24), mark = kit_.px(13);
    draw_triangle(*list_, {content_.x0 + mark / 2, y + kit_.font(Type::small)->FontSize / 2}, mark,
                  kit_.colour.caution);
    put_text(kit_, *list_, Type::small, {content_.x0 + mark + kit_.px(9), y}, kit_.colour.ink_soft, cautions,
             Align::left, "start/cautions", room - mark - kit_.px(9));
  }

  Kit& kit_;
  const Box place_;
  const StartMenu& menu_;
  const Preferences& preferences_;
  StartScreenState& state_;
  Requests& requests_;
  ImDrawList* list_ = nullptr;
  Box cover_, content_;
};

}  // namespace

void start_screen(Kit& kit, const Box& place, const StartMenu& menu, const Preferences& preferences,
                  StartScreenState& state, Requests& requests) {
  Start(kit, place, menu, preferences, state, requests).draw();
}

}  // namespace wetrun::ui
