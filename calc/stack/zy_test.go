package stack_test
import ("testing";"time";"fmt";"endfloat/calc/stack")
func TestZY(t *testing.T) {
	single := func(s int, mid, half, u float64) stack.Aim {
		return aim([]int{s}, setting{[]float64{1}, mid, half, u, 1.5})
	}
	var offers []stack.Offer
	for i := range 60 { offers = append(offers, stack.Offer{ID: fmt.Sprint("new", i), T: um(100+25*i), Price: int64(150+(i*37)%90)}) }
	for _, n := range []int{4,6,8,12,15,20,40,300} {
		for _, wanted := range []float64{.2, .8,.9,.95,.97, .99} {
		for v := range 4 {
			dr := drawerOf(n)
			j := job{dr, seats(n,5,1204,1351,890,2110), nil}
			two := gears([2]int{0,1},1204,1351)
			three := aim([]int{0,1,2}, setting{[]float64{1,1,1},1204+1351+890,25,8,1.5}, setting{[]float64{.35,-.35,0},.35*(1204-1351),25,7,1.5}, setting{[]float64{0,.5,-.5},.5*(1351-890),30,7,1.5})
			switch v {
			case 0: j.aims = []stack.Aim{two, single(2,890,25,7), single(3,2110,25,7)}
			case 1: j.aims = []stack.Aim{two, gears([2]int{2,3},890,2110)}
			case 2: j.aims = []stack.Aim{single(0,1204,25,7),single(1,1351,25,7), single(2,890,25,7), single(3,2110,25,7)}
			case 3: j.aims = []stack.Aim{three, single(3,2110,25,7)}
			}
			start := time.Now()
			b, p := stack.OrderJoint(j.drawer, j.slots, j.aims, offers, wanted, 2)
			d := time.Since(start)
			s := ""
			if len(b) > 0 { s = fmt.Sprint(b[0].Offers, b[0].Price, b[0].Joint.Chance) }
			fmt.Printf("n%d wanted %v v%d %8.1fms proven=%v n=%d %s\n", n, wanted, v, float64(d.Microseconds())/1000, p, len(b), s)
		}}
	}
}
