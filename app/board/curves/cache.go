package curves

import "container/list"

// cache holds what was worked out, up to so many bytes; what was not used for longest
// goes first. The thing added last always stays.
type cache struct {
	room  int
	used  int
	order *list.List // of *entry, used last in front
	at    map[string]*list.Element
}

type entry struct {
	key   string
	value any
	bytes int
}

func newCache(room int) *cache {
	return &cache{room: room, order: list.New(), at: map[string]*list.Element{}}
}

func (c *cache) get(key string) (any, bool) {
	e, ok := c.at[key]
	if !ok {
		return nil, false
	}
	c.order.MoveToFront(e)
	return e.Value.(*entry).value, true
}

func (c *cache) put(key string, value any, bytes int) {
	c.drop(key)
	c.at[key] = c.order.PushFront(&entry{key, value, bytes})
	c.used += bytes
	for c.used > c.room && c.order.Len() > 1 {
		c.drop(c.order.Back().Value.(*entry).key)
	}
}

func (c *cache) drop(key string) {
	if e, ok := c.at[key]; ok {
		c.used -= e.Value.(*entry).bytes
		c.order.Remove(e)
		delete(c.at, key)
	}
}
