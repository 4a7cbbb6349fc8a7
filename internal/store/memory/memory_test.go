package memory_test

import (
	"testing"

	"endfloat/internal/shop"
	"endfloat/internal/store/memory"
	"endfloat/internal/store/storetest"
)

func TestStore(t *testing.T) {
	storetest.Run(t, func(*testing.T) shop.Store { return memory.New() })
}
