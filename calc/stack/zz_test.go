package stack_test
import ("testing";"time";"fmt";"endfloat/calc/stack")
func TestZZ(t *testing.T) {
	single := func(s int, mid, half, u float64) stack.Aim {
		return aim([]int{s}, setting{[]float64{1}, mid, half, u, 1.5})
	}
	run := func(name string, j job, k int) {
		start := time.Now()
		l, p := j.choose(k)
		d := time.Since(start)
		s := ""
		for i, g := range l { if i<2 { s += fmt.Sprintf(" [%v C=%.4f n=%d f=%d off=%.1f]", g.Totals, g.Chance, g.Pieces, g.Found, g.Off); j.check(t,g) } }
		fmt.Printf("%-40s %8.1fms proven=%v n=%d%s\n", name, float64(d.Microseconds())/1000, p, len(l), s)
	}
	for _, k := range []int{1,5,64} {
		for _, n := range []int{8, 12, 15, 20, 30, 40, 100, 300} {
			dr := drawerOf(n)
			w := []int{1204,1351,890,2110}
			sl := func() []stack.Slot { return seats(n, 5, w...) }
			four := []stack.Aim{single(0,1204,25,7),single(1,1351,25,7),single(2,890,25,7),single(3,2110,25,7)}
			run(fmt.Sprintf("k%d four singles %d",k, n), job{dr, sl(), four}, k)
			run(fmt.Sprintf("k%d pair+2 %d",k, n), job{dr, sl(), []stack.Aim{gears([2]int{0,1},1204,1351),four[2],four[3]}}, k)
			run(fmt.Sprintf("k%d pair+pair %d",k, n), job{dr, sl(), []stack.Aim{gears([2]int{0,1},1204,1351),gears([2]int{2,3},890,2110)}}, k)
			tight := []stack.Aim{single(0,1204,6,9),single(1,1351,6,9),single(2,890,6,9),single(3,2110,6,9)}
			run(fmt.Sprintf("k%d tight singles %d",k, n), job{dr, sl(), tight}, k)
			tp := func(s [2]int, a, b float64) stack.Aim { return aim(s[:], setting{[]float64{1,1}, a+b, 6, 9, 2}, setting{[]float64{.35,-.35}, .35*(a-b), 6, 9, 2}) }
			run(fmt.Sprintf("k%d tight pairs %d",k, n), job{dr, sl(), []stack.Aim{tp([2]int{0,1},1204,1351),tp([2]int{2,3},890,2110)}}, k)
			three := aim([]int{0,1,2}, setting{[]float64{1,1,1},1204+1351+890,25,8,1.5}, setting{[]float64{.35,-.35,0},.35*(1204-1351),25,7,1.5}, setting{[]float64{0,.5,-.5},.5*(1351-890),30,7,1.5})
			run(fmt.Sprintf("k%d three+1 %d",k, n), job{dr, sl(), []stack.Aim{three,four[3]}}, k)
			flat := four[0]; _ = flat
			zero := []stack.Aim{}
			for _, a := range four { a.Off = func([]int) float64 { return 0 }; zero = append(zero, a) }
			run(fmt.Sprintf("k%d no off %d",k, n), job{dr, sl(), zero}, k)
			hs := sl(); for i := range hs { hs[i].Want = um(40+i) }
			run(fmt.Sprintf("k%d hopeless pairs %d",k, n), job{dr, hs, []stack.Aim{gears([2]int{0,1},40,41),gears([2]int{2,3},42,43)}}, k)
			run(fmt.Sprintf("k%d wrong want %d",k, n), job{dr, hs, []stack.Aim{gears([2]int{0,1},1204,1351),four[2],four[3]}}, k)
			gs := sl(); gs[0].Grind=true; gs[0].Max=1; gs[0].Found=nil
			run(fmt.Sprintf("k%d grind %d",k, n), job{dr, gs, []stack.Aim{gears([2]int{0,1},1204,1351),four[2],four[3]}}, k)
		}
	}
	// few sizes, many of each
	for _, n := range []int{12, 40, 200} {
		var ts []int
		for i := range n { ts = append(ts, []int{100,150,200,300,500,1000,50,800,400,130}[i%10]) }
		for _, w := range [][]int{{1204,1351,890,2110},{1000,1000,1000,1000},{1015,1025,1035,975}} {
			m := func(i int) float64 { return float64(w[i]) }
			four := []stack.Aim{single(0,m(0),25,7),single(1,m(1),25,7),single(2,m(2),25,7),single(3,m(3),25,7)}
			run(fmt.Sprintf("sizes singles %d", n), job{pieces(ts...), seats(n,5,w...), four}, 5)
			run(fmt.Sprintf("sizes pairs %d", n), job{pieces(ts...), seats(n,5,w...), []stack.Aim{gears([2]int{0,1},m(0),m(1)),gears([2]int{2,3},m(2),m(3))}}, 5)
		}
	}
}
