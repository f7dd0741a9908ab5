package desk

import (
	"slices"
	"strings"

	"stillroom/app/records"
)

// Filter is one thing by which the list of what is kept is narrowed.
type Filter string

// The filters, as they are named to the reader.
const (
	ModelFilter   Filter = "Model"
	StatusFilter  Filter = "Status"
	TimeFilter    Filter = "Time"
	TagFilter     Filter = "Tag"
	DeletedFilter Filter = "Deleted" // on or off
)

// Filters lists them in their order.
func Filters() []Filter {
	return []Filter{ModelFilter, StatusFilter, TimeFilter, TagFilter, DeletedFilter}
}

// FilterText says what a filter is set to, and whether it narrows the list: "Model:
// any". The short text leaves out what nobody chose.
func (s Search) FilterText(f Filter) (long, short string, on bool) {
	switch f {
	case TimeFilter:
		text := s.spanText()
		return text, text, s.Span != AnyTime
	case DeletedFilter:
		return string(f), string(f), s.Deleted
	}
	value := s.filter(f)
	if value == "" {
		return string(f) + ": any", string(f), false
	}
	return string(f) + ": " + value, value, true
}

// filter is the ID of what a filter is set to.
func (s Search) filter(f Filter) string {
	switch f {
	case ModelFilter:
		return s.Model
	case StatusFilter:
		return string(s.Status)
	case TimeFilter:
		return string(s.Span)
	case TagFilter:
		return s.Tag
	case DeletedFilter:
		if s.Deleted {
			return "on"
		}
	}
	return ""
}

// Set sets a filter to one of its choices. ChosenDays needs SetDays.
func (s *Search) Set(f Filter, id string) {
	switch f {
	case ModelFilter:
		s.Model = id
	case StatusFilter:
		s.Status = records.Status(id)
	case TimeFilter:
		s.Span = Span(id)
	case TagFilter:
		s.Tag = id
	case DeletedFilter:
		s.Deleted = id != ""
	}
}

// spanText names the span.
func (s Search) spanText() string {
	if s.Span == ChosenDays {
		return strings.TrimSpace(shortDay(s.From, "from ", s.To) + shortDay(s.To, " to ", s.From))
	}
	for _, c := range spanChoices() {
		if c.ID == string(s.Span) {
			return c.Label
		}
	}
	return string(s.Span)
}

func spanChoices() []Choice {
	return []Choice{{string(AnyTime), "Any time"}, {string(Today), "Today"}, {string(Last7Days), "Last 7 days"},
		{string(Last30Days), "Last 30 days"}, {string(ThisYear), "This year"}, {string(ChosenDays), "From … to …"}}
}

// FilterChoices are what a filter can be set to, and the ID of what it is set to.
func (s State) FilterChoices(f Filter) (list []Choice, id string) {
	search := s.Listing.Asked
	id = search.filter(f)
	switch f {
	case TimeFilter:
		return spanChoices(), id
	case DeletedFilter:
		return []Choice{{"", "What is kept"}, {"on", "What was deleted"}}, id
	}
	list = []Choice{{"", "any"}}
	for _, name := range s.Listing.names(f) {
		list = append(list, Choice{name, name})
	}
	if id != "" && !slices.ContainsFunc(list, func(c Choice) bool { return c.ID == id }) {
		list = append(list, Choice{id, id})
	}
	return list, id
}

// names are the values of a filter that are there to be chosen.
func (l Listing) names(f Filter) []string {
	switch f {
	case ModelFilter:
		return l.models
	case TagFilter:
		return l.tags
	}
	var names []string
	for _, status := range records.Statuses() {
		names = append(names, string(status))
	}
	return names
}
