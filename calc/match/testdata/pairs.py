import json, sys
from scipy.optimize import linear_sum_assignment
out = []
for cost in json.load(open(sys.argv[1])):
    r, c = linear_sum_assignment(cost)
    out.append(sum(cost[i][j] for i, j in zip(r.tolist(), c.tolist())))
json.dump(out, sys.stdout)
